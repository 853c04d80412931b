"""Faults of type: fonts, characters that none has, texts that have no room."""

from tackside.messages.catalogue import Fault, Plural, Where

TEXTS = {
    "type.unknown-face": Fault(
        'there is no face "{name}"',
        "the faces are {faces}; add a font file as [[fonts]] with name and file",
    ),
    "type.unknown-face-near": Fault('there is no face "{name}"', 'did you mean "{near}"?'),
    "type.font-not-read": Fault("there is no font {file}", "copy the font beside the card file"),
    "type.not-a-font": Fault("{file} is not a font that can be used", "name a .ttf, .otf or .ttc file"),
    "type.font-too-large": Fault("{file} is larger than {limit_mb} MB", "choose a smaller font file"),
    "type.no-such-system-font": Fault(
        'this computer has no font called "{name}" that may be used',
        "choose one of the list, or send a font file",
    ),
    "type.no-font-chosen": Fault("no font was chosen", "choose a font file, or a font of this computer"),
    "type.font-damaged": Fault("{file} is damaged", "fetch the font again"),
    "type.font-without-outlines": Fault(
        "{file} has no outlines that can be printed", "name a .ttf or .otf file with outlines"
    ),
    "type.licence-forbids": Fault(
        "the licence of {file} does not let it be put into other files (its fsType says so)",
        "choose a font whose licence allows it",
    ),
    "type.not-embedded": Fault(
        "the font {font} is damaged and cannot be embedded", "fetch it again, or choose another"
    ),
    "type.character": '"{character}" ({name}, {point})',
    "type.character-unseen": "({name}, {point})",
    "type.character-missing": Fault(
        "the text on the {panel} panel, line {line}, column {column}: no font at hand has {character}",
        Where(
            "name a font file that has it as [[fonts]] with name and file, or write it otherwise",
            "write it otherwise, or name a font that has it in the card file",
        ),
    ),
    "type.characters-missing": Fault(
        Plural(
            "the text on the {panel} panel, line {line}, column {column}: no font at hand has {character} "
            "(and {others} more character)",
            "the text on the {panel} panel, line {line}, column {column}: no font at hand has {character} "
            "(and {others} more characters)",
            by="others",
        ),
        Where(
            "name a font file that has it as [[fonts]] with name and file, or write it otherwise",
            "write it otherwise, or name a font that has it in the card file",
        ),
    ),
    "type.no-room-on-panel": Fault(
        'the text "{start}" takes {needed_mm:.1f} at {size:g} pt, but the {panel} panel has room for {room_mm:.1f}',
        "{remedy}",
    ),
    "type.no-room-in-box": Fault(
        'the text "{start}" takes {needed_mm:.1f} at {size:g} pt, but its box on the {panel} panel has room for '
        "{room_mm:.1f}",
        "{remedy}",
    ),
    "type.too-many-lines": Fault(
        Plural(
            'the text "{start}" takes {lines} lines at {size:g} pt on the {panel} panel, and {most} is allowed',
            'the text "{start}" takes {lines} lines at {size:g} pt on the {panel} panel, and {most} are allowed',
            by="most",
        ),
        Where(
            "shorten it, or allow more lines (most_lines) or a smaller size (smallest_pt)",
            "shorten it, or allow more lines or a smaller size",
        ),
    ),
    "type.shorten": "shorten it",
    "type.try-smaller": Where(
        "try size_pt = {size:.1f}, let it shrink as far as that (smallest_pt), or shorten it",
        "try {size:.1f} pt, let it shrink as far as that, or shorten it",
    ),
}
