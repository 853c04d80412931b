"""What is said of a photograph of a new print beside a known one: what keeps it from being read, and what to do."""

from tackside.messages.catalogue import Fault, Plural, Where

_BOTH = "lay the new print and the known one side by side, printed sides up, and photograph both whole"
_CLOSER = "go closer, so that the two sheets fill the picture"
_WINDOW = "turn the lamps off and photograph by daylight from a window, out of the sun"

TEXTS = {
    # Which sheets lie there.
    "photo.no-sheets": Fault("{file} shows no test sheet", _BOTH),
    "photo.one-sheet": Fault(
        "{file} shows one sheet alone, that of trial {trial}",
        "lay the known print beside it, near and in the same light, and photograph both whole",
    ),
    "photo.mirrored": Fault(
        "{file} is mirrored", "turn mirroring off, or photograph with the camera on the back of the phone"
    ),
    "photo.no-tag": Fault(
        "{file} shows a test sheet whose square code cannot be read",
        "keep fingers and glare off the codes, go closer and hold the phone still",
    ),
    "photo.unknown-trial": Fault(
        "{file} shows the sheet of trial {trial}, which this bench does not have",
        "photograph a sheet made on this bench",
    ),
    "photo.not-that-trial": Fault(
        "the sheets in the photograph are those of {shown}, not of {trial}",
        "lay the sheet of trial {trial} in the picture",
    ),
    "photo.twice": Fault(
        "two prints of the same trial, {trial}, lie in the photograph",
        "lay one of them aside and the known print in its place",
    ),
    "photo.more-than-two": Fault(
        "the sheets of {trials} lie in the photograph", "leave only the new print and the known one in the picture"
    ),
    "photo.no-new-print": Fault(
        "both prints in the photograph, {trials}, were read before",
        "name the trial that is to be read, or lay a new print beside a known one",
    ),
    "photo.tag-unread": Fault(
        "the square code of one sheet cannot be read",
        "keep fingers and glare off the codes, go closer and hold the phone still",
    ),
    # Place and sharpness.
    "photo.too-small": Fault(
        "the sheet of trial {sheet} is too small in the photograph: {density:.1f} pixels a millimetre, where "
        "{least:.0f} are needed",
        _CLOSER,
    ),
    "photo.cut-off": Fault(
        "the sheet of trial {sheet} is cut off", "go back a little, so that both sheets are whole in the picture"
    ),
    "photo.marks-covered": Fault(
        Plural(
            "one mark of the sheet of trial {sheet} is covered or cannot be seen",
            "{count} marks of the sheet of trial {sheet} are covered or cannot be seen",
        ),
        "take fingers and weights off the square marks",
    ),
    "photo.bent": Fault(
        "the sheet of trial {sheet} is bent: its marks lie {off_mm:.1f} off a flat sheet's",
        "lay it flat, weighted outside the printed part, and photograph again",
    ),
    "photo.blurred": Fault(
        "the sheet of trial {sheet} is blurred: edges are {spread_mm:.1f} wide",
        "wipe the lens, hold the phone still and touch the sheet on the screen to focus",
    ),
    # Light.
    "photo.no-bare-card": Fault(
        "too little bare card shows to tell how the light falls", "photograph both sheets whole and uncovered"
    ),
    "photo.too-dark": Fault("the photograph is too dark", _WINDOW),
    "photo.too-bright": Fault(
        "the card is so bright that its white is cut off", "make the picture darker on the phone, or go out of the sun"
    ),
    "photo.warm-lamp": Fault("the light is that of a warm lamp", _WINDOW),
    "photo.one-lamp": Fault(
        "one side has {falloff:.1f} times the light of the other", "go nearer to the window, away from lamps, so that "
        "light falls evenly on both sheets",
    ),
    "photo.glare": Fault(
        "light is mirrored in the surface", "turn the sheets, or stand so that the window is at your side"
    ),
    "photo.shadow": Fault(
        "a shadow lies on the sheets", "step aside, and hold the phone so that it casts no shadow"
    ),
    "photo.screen": Fault(
        "a regular pattern lies over the card, as in a photograph of a screen",
        "photograph the printed sheets themselves",
    ),
    "photo.uneven": Fault(
        "light falls too unevenly on {share:.0%} of the patches in {file}", _WINDOW + ", with no shadow on the sheets"
    ),
    "photo.too-few-known": Fault(
        Plural(
            "only one colour of trial {trial} is known and can be seen",
            "only {count} colours of trial {trial} are known and can be seen",
        ),
        "lay another known print beside the new one, a whole test sheet that was scanned or measured",
    ),
    "photo.colours-astray": Fault(
        "the colours of trial {trial} in the photograph do not agree with its own reading: {de00:.1f} ΔE00 off",
        "check that it is the print that was read, and photograph by daylight with the camera's plain settings, with no "
        "filter, night or portrait mode",
    ),
    # What such a picture can tell, and what it cannot.
    "photo.tells": "Colours are told by the print of trial {trial} beside it, to ± {de00:.1f} ΔE00 of that print's own "
    "reading.",
    "photo.cannot-tell": "A photograph tells nothing of sharpness, fine lines, gloss, the print's size or where it lies "
    "on the sheet: scan it for these.",
    "photo.other-surface": "The two cards have different surfaces, which throw light back differently: deep colours are "
    "trusted less.",
    "photo.relative-only": "Nothing is known of the colours of trial {trial}, which lies beside it: the two prints may be "
    "compared with each other, and with nothing else.",
    "photo.patches-left-out": Plural(
        "One patch lies in glare or in a shadow's edge, and is left out.",
        "{count} patches lie in glare or in a shadow's edge, and are left out.",
    ),
    "photo.beside-without-photo": Fault(
        Where("--beside is of use with --photo alone", "a print beside is named for a photograph alone"),
        Where("add --photo, or leave --beside out", "name no print beside"),
    ),
    "photo.one-at-a-time": Fault(
        "{count} files were named as one photograph", "name one photograph, which shows both prints"
    ),
    "photo.unread": Fault("{file} cannot be read as a photograph of two sheets", _BOTH),
}  # fmt: skip
