"""Pictures that cannot be opened, and what is found in those that can."""

from tackside.messages.catalogue import Fault, Plural, Where

_ANOTHER = "export it again as JPEG, PNG or TIFF"
_LIFT = "export it again from the original"

TEXTS = {
    # What keeps a picture from being used.
    "picture.missing": Fault("there is no picture {file}", "check the name and the folder"),
    "picture.folder": Fault("{file} is a folder", "name a picture file in it"),
    "picture.empty": Fault("{file} is empty", "copy the picture again from where it came"),
    "picture.unknown-kind": Fault("{file} is no picture that Tackside can open", _ANOTHER),
    "picture.pixels-missing": Fault("{file} is damaged: a part of its pixels is missing", _ANOTHER),
    "picture.hdr": Fault(
        "{file} is made for screens that outshine paper (HDR)",
        "switch HDR off in the camera, or export the picture as JPEG on the device that took it",
    ),
    "picture.damaged-kind": Fault("{file} starts like a {kind} file but is damaged", _ANOTHER),
    "picture.breaks-off": Fault("{file} breaks off or is damaged part of the way in", _ANOTHER),
    "picture.not-turned": Fault("{file} cannot be turned upright", _ANOTHER),
    "picture.unreadable": Fault("{file} cannot be read", _ANOTHER),
    "picture.too-many-pixels": Fault(
        "{file} claims {width_px} × {height_px} pixels, {million:,.0f} million; at most {limit_million:,.0f} million are taken",
        "reduce it to the size that the card needs",
    ),
    "picture.too-large-to-turn": Fault(
        "{file} has {width_px} × {height_px} pixels stored on their side, {megabytes:,.0f} MB to turn upright; at most {limit_mb:,.0f} MB are turned",
        "save it upright, or reduce it to the size that the card needs",
    ),
    "picture.too-large-at-once": Fault(
        "{file} has {width_px} × {height_px} pixels of {channels} channels, stored so that {megabytes:,.0f} MB are in memory at once; at most {limit_mb:,.0f} MB may be",
        "save it again as TIFF without tiles, or as PNG without interlacing, or reduce it to the size that the card needs",
    ),
    "picture.too-many-channels": Fault(
        "{file} has {channels} channels; at most {most} are taken",
        "export the picture again as RGB, without what else its file holds",
    ),
    "picture.animation": Fault(
        "{file} is an animation of {count} pictures", "export the one you want as a file of its own"
    ),
    "picture.several": Fault(
        "{file} is a file of {count} pictures", "export the one you want as a file of its own"
    ),
    "picture.cmyk-without-profile": Fault(
        "{file} holds CMYK numbers without a profile, so its colours are unknown",
        "export it again as RGB, or with its profile embedded",
    ),
    "picture.cmyk-profile": Fault("{file}: {reason}", "export it again as RGB in sRGB"),
    "picture.none-sent": Fault("there is no picture to look at", "drop one, or choose it"),
    "picture.empty-folder": Fault(
        "the folder {folder} holds no pictures", "name a folder of JPEG, PNG or TIFF files"
    ),
    "picture.no-written-format": Fault(
        "{file} ends in no picture format that is written", "end it in .tif, .png or .jpg"
    ),
    "picture.not-written": Fault(
        "cannot write {file}", "check that the disk has room and the folder may be written to"
    ),
    "picture.nobody-looks-from": Fault(
        "nobody looks at a card from {distance_cm:g} cm",
        Where(
            terminal="give --distance-cm from {least_cm:g} to {most_cm:g}; a hand holds a card at about 30",
            page="give {least_cm:g} to {most_cm:g} cm; a hand holds a card at about 30",
        ),
    ),
    "picture.two-places": Fault(
        Where(
            terminal="--size-mm and --stock each name a place", page="a size and a stock each name a place"
        ),
        "give one of them",
    ),
    "picture.size-cannot-be": Fault(
        "a picture of {size_mm} cannot be", "give width and height in mm, as 105 148"
    ),
    "picture.place-lacks": Fault(
        "a panel needs a stock and a printer, and {option} is missing", "add {option} NAME"
    ),
    # What must be known of a picture that is taken.
    "picture.taken-for-srgb": "{file} has no colour profile; its numbers are taken for sRGB",
    "picture.profile-not-used": "{file}: {reason}; its numbers are taken for sRGB",
    "picture.channels-left-out": Plural(
        "{file} has {count} channel that is neither colour nor transparency, such as a saved selection; it is left out",
        "{file} has {count} channels that are neither colour nor transparency, such as saved selections; they are left out",
    ),
    "picture.selections-saved": Fault(
        Plural(
            "it has {count} channel that is neither colour nor transparency, which is left out",
            "it has {count} channels that are neither colour nor transparency, which are left out",
        ),
        "if a spot colour is lost with that, export it again with everything in the picture; saved selections are no loss",
    ),
    "picture.laid-on-white": "{file} has transparent parts; they are laid on white",
    "picture.srgb-assumed": "sRGB (assumed)",
    # Where it goes.
    "picture.place.panel": "the {panel} panel",
    "picture.place.any-panel": "a panel",
    # Shares of it.
    "picture.share": "{share:%}",
    "picture.share-small": "{share:.1%}",
    "picture.share-tiny": "under 0.1 %",
    # Findings: profile and colour model.
    "picture.profile-missing": Fault(
        "it has no colour profile, so its colours are a guess; sRGB is assumed",
        "save it again with the profile of the space it was edited in embedded",
    ),
    "picture.profile-odd": Fault(
        'its profile "{profile}" is of the class {kind}: its numbers are those of one device',
        "export it again as RGB in sRGB, with the profile embedded",
    ),
    "picture.profile-odd-input": Fault(
        'its profile "{profile}" is of the class {kind}: its numbers are those of one device',
        "convert it to sRGB in whatever made it",
    ),
    "picture.profile-damaged": Fault(
        "{reason}; sRGB is assumed in its place", "save it again with its profile embedded"
    ),
    "picture.profile-does-not-fit": "its colour profile does not fit its colours",
    "picture.profile-wide": Fault(
        'its space "{profile}" is {times:.1f} times as large as sRGB; read as sRGB it would print dull',
        "print from a program that honours the embedded profile",
    ),
    "picture.profile-wide-8-bits": Fault(
        'its space "{profile}" is {times:.1f} times as large as sRGB, too large for 8 bits: soft tones may band',
        "export it at 16 bits, or in sRGB from the original",
    ),
    "picture.cmyk": Fault(
        "it is a CMYK file, separated for another press; small inkjets take RGB, and what was lost stays lost",
        "go back to the RGB original if there is one",
    ),
    "picture.grey": Fault(
        "it is a grey file; a printer mixes greys from colours, so a cast will show more than in a picture",
        "print the grey ramp of a test sheet first, and compare under daylight",
    ),
    "picture.turned": Fault(
        "its EXIF data ask for a turn, which some programs overlook; Tackside turns it upright",
        "if it lies on its side anywhere, save it again turned for good",
    ),
    "picture.enormous": Fault(
        "it has {million:,.0f} million pixels, more than a card can show",
        "reduce it to the size that the card needs",
    ),
    "picture.transparent": Fault(
        "{share} of it is transparent; it will be laid on white, and the card's own white is another",
        "lay it on the ground that you want, and save it without transparency",
    ),
    # Findings: clipping.
    "picture.clipped-highlights": Fault(
        "{share} of it is at the very top: that will be bare card",
        f"lower the highlights and {_LIFT}, unless they are a white ground or glints",
    ),
    "picture.clipped-highlights-by-channel": Fault(
        "{share} of it is at the very top: that will be bare card (red {red}, green {green}, blue {blue})",
        f"lower the highlights and {_LIFT}, unless they are a white ground or glints",
    ),
    "picture.clipped-shadows": Fault(
        "{share} of it is at the very bottom: that will be one flat black",
        f"lift the shadows and {_LIFT}, unless they are a black ground",
    ),
    "picture.clipped-shadows-by-channel": Fault(
        "{share} of it is at the very bottom: that will be one flat black (red {red}, green {green}, blue {blue})",
        f"lift the shadows and {_LIFT}, unless they are a black ground",
    ),
    "picture.clipped-highlights-channel": Fault(
        "{channel} is at its highest number in {share} of it: strong colours there may lie flat, without their finer tones",
        f"take some saturation back and {_LIFT}, or convert from a wider space",
    ),
    "picture.clipped-shadows-channel": Fault(
        "{channel} is at its lowest number in {share} of it: strong colours there may lie flat, without their finer tones",
        f"take some saturation back and {_LIFT}, or convert from a wider space",
    ),
    "picture.channel.red": "red",
    "picture.channel.green": "green",
    "picture.channel.blue": "blue",
    # Findings: detail and resolution.
    "picture.pixels-repeated": Fault(
        "rows and columns of pixels repeat their neighbours: it was enlarged about {times:.1f} times without smoothing, and its steps will show",
        "find the picture as it was before it was enlarged",
    ),
    "picture.detail-missing": Fault(
        "its detail ends at {share} of what its pixels could hold, as if {width_px:,} × {height_px:,} pixels had been enlarged {times:.1f} times; a lens out of focus or strong smoothing looks the same",
        "find the original file; if this is it, print it smaller or live with the softness",
    ),
    "picture.resolution-low": Fault(
        "on {place} ({size_mm}) it has {ppi:.0f} ppi; at {distance_cm:g} cm the eye can tell {eye_ppi:.0f}",
        "use a file of {width_px} × {height_px} pixels ({aim_ppi:.0f} ppi), or print it no larger than {largest_mm:.0f}",
    ),
    "picture.resolution-low-for-its-detail": Fault(
        "on {place} ({size_mm}) it has {ppi:.0f} ppi, of which its detail fills {filled_ppi:.0f}; at {distance_cm:g} cm the eye can tell {eye_ppi:.0f}",
        "use a file of {width_px} × {height_px} pixels ({aim_ppi:.0f} ppi), or print it no larger than {largest_mm:.0f}",
    ),
    "picture.resolution-beyond-grid": Fault(
        "{ppi:.0f} ppi on {place} is finer than the printer's grid of {grid_ppi:g} ppi",
        "nothing to do; reduced to {grid_ppi:g} ppi the file would print the same and be smaller",
    ),
    "picture.much-cropped": Fault(
        "filling {place} ({size_mm}) shows only {share} of the picture",
        "choose the crop yourself, or keep all of it with a border",
    ),
    # Findings: colours.
    "picture.outside-every-card": Fault(
        "{share} of it, mostly {colours}, is beyond what any tested card can hold; the closest is {card}",
        "see a proof before you print, and expect these colours duller or lighter",
    ),
    "picture.outside-the-one-card": Fault(
        "{share} of it, mostly {colours}, is beyond what any tested card can hold; the one tested is {card}",
        "see a proof before you print, and expect these colours duller or lighter",
    ),
    "picture.colours.reds": "reds",
    "picture.colours.oranges": "oranges",
    "picture.colours.yellows": "yellows",
    "picture.colours.greens": "greens",
    "picture.colours.cyans": "cyans",
    "picture.colours.blues": "blues",
    "picture.colours.purples": "purples",
    "picture.colours.deep-shadows": "deep shadows",
}
