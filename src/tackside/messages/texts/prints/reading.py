"""What is said of a trial that is read back, whatever it came from: its files, its drying, what is missing."""

from tackside.messages.catalogue import Fault, Plural, Where

_COPY = "check the name and the folder"
_WHOLE_PANELS = "scan so that at least three of the square marks of each panel are in"

TEXTS = {
    # Files.
    "reading.no-file": Fault(
        "there is no file to read",
        Where("name a scan or an instrument file", "choose a scan or an instrument file"),
    ),
    "reading.file-missing": Fault("there is no file {file}", _COPY),
    "reading.folder": Fault("{file} is a folder", "name the file itself"),
    "reading.empty-file": Fault(
        "{file} is empty", "give a scan as TIFF, PNG or JPEG, or an instrument file as CGATS text or CxF"
    ),
    "reading.unknown-file": Fault(
        "{file} is neither a scan nor an instrument file",
        "give a scan as TIFF, PNG or JPEG, or an instrument file as CGATS text or CxF",
    ),
    "reading.other-picture": Fault(
        "{file} is a {kind} picture, which is no scan", "scan again and save as TIFF, PNG or JPEG"
    ),
    "reading.two-instrument-files": Fault(
        "{file} and {other} are both instrument files", "read them one at a time"
    ),
    "reading.no-tag": Fault("this sheet has no tag that names its trial", "name the trial"),
    # Several scans of one sheet.
    "reading.unlike-settings": Fault(
        "{file} and {other} were made with different settings ({settings}, and {other_settings})",
        "scan all parts of a sheet alike, or read one of them",
    ),
    "reading.mixed-prints": Fault(
        "{file} and {other} show mixed prints: the patches that both hold differ by {de00:.1f} ΔE00",
        "read the scans of one print at a time, all made with the same settings",
    ),
    "reading.no-patches": Fault("no panel in {files} shows both three marks and its patches", _WHOLE_PANELS),
    "reading.colours-by-instrument": "Colours are the instrument's; placement and lines were read from the scan.",
    # Readings that can't be right.
    "reading.own-file": Fault(
        "{file} is no scan but the file that was made for printing: {same} of {patches} patches show exactly what it asks for",
        "print the sheet, and scan the print",
    ),
    "reading.no-noise": Fault(
        "{file} is no scan of a print: {still} of {patches} patches show no noise at all",
        "print the sheet, and scan the print with all corrections off",
    ),
    "reading.repeats-alike": Fault(
        "in {file} the repeats of all {patches} patches agree to the last digit, which no instrument's do",
        "save the measurements themselves, not copies of one of them",
    ),
    "reading.too-black": Fault(
        "the black in {file} is at L* {lightness:.1f}, and no ink on card goes below {least:g}",
        "turn automatic tone off or calibrate the instrument, and read the print again",
    ),
    "reading.too-white": Fault(
        "the lightest patch in {file} is at L* {lightness:.1f}, and no paper goes beyond {most:g}",
        "calibrate the instrument or turn the scanner's corrections off, and read the print again",
    ),
    # Parts of the sheet.
    "reading.panel-not-shown": Plural(
        "The panel {panel} does not show with three of its marks: its one patch is left out.",
        "The panel {panel} does not show with three of its marks: its {count} patches are left out.",
    ),
    "reading.patches-outside": Plural(
        "On the panel {panel} one patch lies outside the scan and is left out.",
        "On the panel {panel} {count} patches lie outside the scan and are left out.",
    ),
    "reading.page-not-shown": Plural(
        "Page {page} of {pages} shows in no scan: its one patch is left out.",
        "Page {page} of {pages} shows in no scan: its {count} patches are left out.",
    ),
    "reading.repeats": "{colours} colours stand in {patches} places: they repeat to {de00:.2f} ΔE00 (one standard deviation). {worst} is farthest off, {worst_de00:.1f} ΔE00 from the others of its colour.",
    "reading.not-flat": "The sheet did not lie flat ({residual_um:.0f} µm off a plane): rotation and offset of the print on it are not told.",
    "reading.edges-unseen": "Too few of the sheet's edges show: rotation and offset of the print on the sheet are not known.",
    "reading.offset-unseen": "Too few of the sheet's edges show: the offset of the print on the sheet is not known.",
    # Drying.
    "reading.half-wet": "The print was still half wet when it was read, after {hours:g} hours: black and colours change until it is dry. Read it again after 24 hours.",
    "reading.not-yet-dry": "The print had dried for {hours:g} hours only: read it again after 24 to be sure of its colours.",
}
