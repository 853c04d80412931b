"""What is said of a scan: what is no scan of this sheet, and what spoils its colours or its lines."""

from tackside.messages.catalogue import Fault, Plural, Where

_IN_COLOUR = "scan again in colour (RGB, 24 or 48 bits)"
_AS_PICTURE = "have the scanner save TIFF, PNG or JPEG"
_AS_FILE = "scan again and save as TIFF, PNG or JPEG"

TEXTS = {
    # The file.
    "scan.folder": Fault("{file} is a folder", "name the scan itself"),
    "scan.no-image": Fault("{file} is no TIFF, PNG or JPEG", _AS_FILE),
    "scan.cannot-be-opened": Fault("{file} cannot be opened as an image", _AS_FILE),
    "scan.damaged": Fault("{file} is damaged or cut short", "copy it again from the scanner, or scan again"),
    "scan.not-shown": Fault("{file} cannot be prepared for the screen", "scan again and save as TIFF"),
    "scan.too-many-pixels": Fault(
        "{file} has {width} × {height} pixels of {bits} bits, too many to be read: at most {most_million:,.0f} million are",
        "scan at 300 or 600 ppi, and only the area of the sheet",
    ),
    "scan.too-few-pixels": Fault(
        "{file} has only {width} × {height} pixels", "scan at 150 ppi or more, 300 is better"
    ),
    "scan.hdr": Fault(
        "{file} is a photograph made for screens that outshine paper (HDR)",
        "switch HDR off in the camera and take it again",
    ),
    "scan.cmyk": Fault("{file} is a CMYK image", "scan again as RGB colour and save it unchanged"),
    "scan.grey": Fault("{file} is a grey scan", _IN_COLOUR),
    "scan.grey-saved-as-rgb": Fault("{file} was scanned in grey, though it is saved as RGB", _IN_COLOUR),
    "scan.not-rgb": Fault(
        "{file} does not hold RGB numbers of 8 or 16 bits",
        "scan again as RGB colour, 24 or 48 bits, and save it unchanged",
    ),
    "scan.ycbcr": Fault(
        "{file} is a TIFF of luma and chroma (YCbCr), not of RGB", "save it again as an RGB TIFF or as PNG"
    ),
    # Finding the sheet.
    "scan.mirrored": Fault(
        "{file} is mirrored", "scan again without mirroring, the printed side on the glass"
    ),
    "scan.no-marks": Fault(
        "no marks of a test sheet were found in {file}",
        "scan the whole sheet, printed side on the glass, at 300 ppi in colour with all corrections off",
    ),
    "scan.few-marks": Fault(
        Plural("{file} shows one mark of a test sheet", "{file} shows {count} marks of a test sheet"),
        "scan so that at least three of the square marks of each panel are in",
    ),
    "scan.other-sheet": Fault(
        "the marks in {file} do not stand as on this trial's sheet",
        "check that it is the sheet of this trial, and scan the whole of it, flat on the glass",
    ),
    "scan.not-flat": Fault(
        "the marks in {file} lie {residual_um:.0f} µm off a flat sheet's, more than {limit_um:.0f}",
        "press the sheet flat on the glass and scan again; a photograph will not do",
    ),
    "scan.another-trial": Fault(
        "{file} shows the sheet of trial {shown}, not of {trial}",
        Where(
            "run: tackside read {first} {file}, or scan the sheet of {trial}",
            "read it on the page of trial {first}, or scan the sheet of {trial}",
        ),
    ),
    "scan.several-trials": Fault(
        "{file} shows the sheets of the trials {shown}, not of {trial}",
        Where(
            "run: tackside read {first} {file}, or scan the sheet of {trial}",
            "read it on the page of trial {first}, or scan the sheet of {trial}",
        ),
    ),
    "scan.tag-not-read": Fault(
        Plural(
            "{file} holds a sheet, and the tag of {trial} could not be read on it",
            "{file} holds {count} sheets, and the tag of {trial} could not be read on any",
        ),
        "scan its sheet alone",
    ),
    "scan.several-of-this-trial": "{file} holds {count} sheets of this trial; the one that shows best was read.",
    "scan.tag-unread": "No tag could be read in {file}: that this is the sheet of {trial} is taken on your word.",
    # How it was scanned.
    "scan.scanner-remembered": Where(
        terminal="The scanner is taken for “{device}”, since a scan whose file says the same was named so; if it was another, read again with --device and its name.",
        page="The scanner is taken for “{device}”, since a scan whose file says the same was named so; if it was another, read again with its name in the scanner field.",
    ),
    "scan.settings": "{ppi} ppi, {bits} bits, {profile}",
    "scan.settings-no-profile": "{ppi} ppi, {bits} bits, sRGB assumed",
    "scan.no-profile": "The scan has no colour profile: its numbers are taken for sRGB.",
    "scan.profile-not-rgb": "The profile inside {file} is not for RGB: the scan's numbers are taken for sRGB.",
    "scan.profile-damaged": "The profile inside {file} is damaged: the scan's numbers are taken for sRGB.",
    "scan.no-resolution": "{file} does not say its resolution: {ppi:.0f} ppi is taken from the marks, so the scale of the print can only be told across against along.",
    "scan.resolution-differs": "{file} says {stated:.0f} ppi, its marks say {ppi:.0f}: {ppi:.0f} is taken, so the scale of the print can only be told across against along.",
    # What spoils its colours.
    "scan.clipped": "In {count} of {patches} patches the scan reaches the end of its numbers: turn off automatic exposure, or save with a wider colour space.",
    "scan.sharpened": "{file} was sharpened: edges overshoot by {overshoot:%}. Sharpness, line widths and graininess are the program's, not the print's. In the scanning program look for sharpening, unsharp mask or edge enhancement, switch it off, and scan again.",
    "scan.photograph-by-tags": "{file} is a photograph (its tags name a lens). Light, lens and the phone's own corrections are in its numbers: nothing can be concluded about colours, blacks or evenness. Scan the sheet on a flatbed.",
    "scan.photograph-by-scale": "{file} is a photograph (its scale changes by {change:.1%} over the sheet). Light, lens and the phone's own corrections are in its numbers: nothing can be concluded about colours, blacks or evenness. Scan the sheet on a flatbed.",
    "scan.uneven-light": "The light in {file} is uneven: bare card differs by {spread:.0f} L* over the sheet, as in a photograph or under an open lid. Close the lid and scan again.",
    "scan.dark-cut-off": "An automatic tone correction cut off the dark greys in {file}: they all reach the end of its numbers. In the scanning program look for automatic exposure, tone, contrast or colour correction, set it to none or manual, and scan again.",
    "scan.light-cut-off": "An automatic tone correction cut off the light greys in {file}: they all reach the end of its numbers. In the scanning program look for automatic exposure, tone, contrast or colour correction, set it to none or manual, and scan again.",
    "scan.both-ends-cut-off": "An automatic tone correction cut off the dark and the light greys in {file}: they all reach the ends of its numbers. In the scanning program look for automatic exposure, tone, contrast or colour correction, set it to none or manual, and scan again.",
    "scan.heavy-jpeg": "{file} is a heavily compressed JPEG (quality {quality} of 100): fine lines and graininess are blurred by its blocks. Save scans as TIFF or PNG.",
    "scan.once-heavy-jpeg": "{file} was once a heavily compressed JPEG: its blocks of 8 pixels show. Scan again and save as TIFF or PNG.",
    "scan.screen-pattern": "Bare card in {file} shows a regular pattern, as a picture of a screen does. Nothing can be concluded about the print: scan the printed sheet itself.",
    # Lines and edges.
    "scan.lines-too-coarse": "Lines are not judged at {ppi:.0f} ppi: scan at 300 ppi or more, 600 is better.",
    "scan.own-sharpness-unknown": "Sharpness and blurriness include the scanner's own: its response on a known sharp edge is not on record.",
    # A PDF that came back as a scan.
    "scan.pdf-locked": Fault("{file} is locked with a password", "save it without one"),
    "scan.pdf-damaged": Fault("{file} is a PDF that cannot be opened", f"scan again, or {_AS_PICTURE}"),
    "scan.pdf-too-many-pages": Fault(
        "{file} has {count} pages; at most {most} are read", "give the pages with the test sheets alone"
    ),
    "scan.pdf-page-damaged": Fault("{file}: page {page} is damaged", f"scan again, or {_AS_PICTURE}"),
    "scan.pdf-drawn": Fault(
        "{file}: page {page} is drawn, not scanned", f"give the scan itself; best {_AS_PICTURE}"
    ),
    "scan.pdf-empty-page": Fault("{file}: page {page} holds no picture", "leave empty pages out of the scan"),
    "scan.pdf-several-images": Fault(
        "{file}: page {page} holds {count} pictures, as packing for small files makes them",
        f"turn that packing off, or {_AS_PICTURE}",
    ),
    "scan.pdf-flipped": Fault("{file}: page {page} shows its picture as in a mirror", _AS_PICTURE),
    "scan.pdf-black-and-white": Fault(
        "{file}: page {page} is a scan in black and white", "scan again in colour (RGB, 24 or 48 bits)"
    ),
    "scan.pdf-strange-image": Fault(
        "{file}: page {page} holds a picture that cannot be unpacked", _AS_PICTURE
    ),
}
