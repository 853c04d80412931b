"""Faults of a card: its file, what stands on it, and the files that are made of it."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    # The card file and its parts.
    "card.in-field": Fault("{field}: {fault}", "{fault:fix}"),
    "card.file-outside": Fault(
        '"{file}" leaves the folder of the card file', "copy the file beside the card file"
    ),
    "card.file-not-followed": Fault('"{file}" cannot be followed', "copy the file beside the card file"),
    "card.no-template": Fault("there is no card template called '{name}'", "{hint}"),
    "card.templates": "there are {templates}",
    "card.there-already": Fault(
        "{file} is there already", Where("give --out another name", "choose another name")
    ),
    # Where things stand.
    "card.unknown-panel": Fault(
        'the card names a panel "{name}", which {stock} does not have', "choose one of {panels}"
    ),
    "card.text-on-a-face": Fault(
        'a text stands on "{name}", but texts stand on a panel', "choose one of {panels}"
    ),
    "card.cut-larger-than-sheet": Fault(
        Where(
            "cut_to_mm: {cut_mm} cannot be cut from a sheet of {sheet_mm}",
            "{cut_mm} cannot be cut from a sheet of {sheet_mm}",
        ),
        "give the width and height of the open card as it lies on the sheet",
    ),
    "card.panel-cut-away": Fault(
        Where(
            "cut_to_mm: nothing is left of the {panel} panel: its crease lies outside the card",
            "nothing is left of the {panel} panel: its crease lies outside the card that is cut out",
        ),
        "give a larger size, or a stock whose crease lies within it",
    ),
    "card.ticks-without-room": Fault(
        "the ticks need {needed_mm} that the printer reaches outside the card, but there are {there_mm:.1f} ({edge})",
        Where(
            "make cut_to_mm smaller, or write ticks = false",
            "cut the card smaller, or leave the ticks out in its card file",
        ),
    ),
    "card.at-left": "at the left",
    "card.at-top": "at the top",
    "card.at-right": "at the right",
    "card.at-bottom": "at the bottom",
    "card.border-leaves-no-room": Fault(
        "a border of {border_mm} leaves no room for a picture on the {panel} panel ({panel_mm})",
        Where("choose a border_mm well under {most_mm}", "choose a border well under {most_mm}"),
    ),
    "card.picture-too-narrow": Fault(
        "{file} is so narrow that it would be {width_mm:.1f} wide on the {panel} panel",
        Where('crop it first, or choose fit = "fill"', "crop it first, or let it fill the panel"),
    ),
    "card.picture-outside-panel": Fault(
        "{file} lies outside the {panel} panel",
        Where(
            "move it inwards with placed_mm, or leave placed_mm out",
            "move it inwards, or let it fill the panel",
        ),
    ),
    "card.picture-gone": Fault("there is no picture {file}", "drop it on the card again"),
    "card.code-without-room": Fault(
        "a QR code of {code_mm} has no room on the {panel} panel ({panel_mm})",
        Where("make qr_mm smaller, or leave the code out", "leave the code out, or take a larger card"),
    ),
    "card.code-too-long": Fault(
        Where("credit: qr is more than a QR code can hold", "this is more than a QR code can hold"),
        "shorten it",
    ),
    # Colour of the files.
    "card.space-and-profile": Fault(
        "the output cannot have a space and a printer profile at once", "choose one of them"
    ),
    "card.profile-not-rgb": Fault(
        'the profile "{profile}" is not for RGB numbers, which a printer\'s driver takes',
        "choose the RGB profile of your printer and card",
    ),
    "card.profile-one-way": Fault(
        'the profile "{profile}" leads to colours, but not back to a printer',
        "choose the profile of a printer",
    ),
    "card.pictures-in-two-spaces": Fault(
        'the card\'s pictures are in different spaces, "{first}" and "{second}"', "choose srgb or adobe-rgb"
    ),
    "card.picture-not-rgb": Fault(
        'the card\'s picture is in "{profile}", which is no RGB space', "choose srgb or adobe-rgb"
    ),
    "card.jpeg-quality": Fault("a JPEG has no quality of {quality}", "choose 1 to 100"),
    # The files.
    "card.not-written": Fault(
        "{file} cannot be written", "check that the disk has room and the folder can be written to"
    ),
    "card.too-large-for-jpeg": Fault(
        "the sheet has more pixels than a JPEG holds",
        Where("end the name of --out in .tif", "choose TIFF or PDF"),
    ),
    "card.unknown-kind-of-file": Fault(
        "{file} is neither a PDF nor a TIFF nor a JPEG",
        Where("end the name of --out in .pdf, .tif or .jpg", "choose PDF, TIFF or JPEG"),
    ),
    "card.preview-not-png": Fault(
        "{file} is no PNG", Where("end the name of --out in .png", "choose a name that ends in .png")
    ),
    "card.no-list-to-spread": Fault(
        "one card is made here and at once",
        Where("leave out --workers and --cluster, or give --csv", "give a list to make many"),
    ),
    # The guide to the second side.
    "card.guide-without-room": Fault(
        "the guide has no room on {size_mm}", "take paper of {smallest_mm} or wider"
    ),
    "card.guide-not-pdf": Fault(
        "{file} is no PDF", Where("end the name of --out in .pdf", "choose a name that ends in .pdf")
    ),
    "card.guide-or-answer": Fault(
        Where(
            "--out writes the guide and --behind answers it", "the guide is written first and answered later"
        ),
        "do one, then the other",
    ),
    "card.guide-not-turned": Fault(
        "the {number} is on the A's own side, so the sheet was not turned over",
        "print page one, put the sheet in with its other side up, print page two, and look again",
    ),
    # Cards that the bench keeps.
    "card.kept-is-broken": Fault(
        "the bench holds a card '{name}' that does not hold together", "bring an earlier revision of it back"
    ),
    "card.no-picture-chosen": Fault(
        "there is no picture; drop one, or choose it", "choose a JPEG, PNG, TIFF, WebP, AVIF or HEIC"
    ),
    "card.not-shown": Fault("this card shows no such picture", "open the card again"),
    "card.file-not-made": Fault("this file was not made", "make the card's files again"),
    "card.no-such-files": Fault("this card has no such files", "make the card's files again"),
}
