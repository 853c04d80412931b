"""What a card maker should know before the sheet goes in. A message's ``part`` is the part of the card it concerns."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    # Pictures.
    "card-remark.opened": "{says}.",
    "card-remark.not-reached": "The printer reaches no part of the {panel} panel, so {file} will not be printed.",
    "card-remark.picture-past-margin": Where(
        "{file} runs to the edge of the {panel} panel, but the printer leaves a margin there: it prints only "
        "{reached_mm:.1f} of the panel; a border_mm of {border_mm} or more keeps the borders equal.",
        "{file} runs to the edge of the {panel} panel, but the printer leaves a margin there: it prints only "
        "{reached_mm:.1f} of the panel; a border of {border_mm} or more keeps the borders equal.",
    ),
    "card-remark.border-under-margin": Where(
        "The border of {border_mm} on the {panel} panel is narrower than the printer's margin of {margin_mm:.1f}, so "
        "the borders come out unequal; the smallest equal one is a border_mm of {smallest_mm}.",
        "The border of {border_mm} on the {panel} panel is narrower than the printer's margin of {margin_mm:.1f}, so "
        "the borders come out unequal; the smallest equal one is {smallest_mm}.",
    ),
    "card-remark.enlarged-past-edge": (
        "Borderless printing carries about {enlargement_mm} of {file} past each outer edge of the {panel} panel; "
        "keep what matters further in."
    ),
    "card-remark.enlarged-border": (
        "Borderless printing makes the border on the {panel} panel about {enlargement_mm} narrower at the outer edges "
        "than at the crease; print with margins instead, as nothing here reaches an edge."
    ),
    "card-remark.enlarged-cut": (
        "Borderless printing makes the card that is cut out about {larger_mm:.1f} larger; print with margins instead, "
        "as its edges are cut."
    ),
    "card-remark.a-little-soft": (
        "{file} has {ppi:.0f} pixels an inch on the {panel} panel, under {wanted:.0f}, and will look a little soft; "
        "a sharp print needs {width} × {height} pixels there."
    ),
    "card-remark.clearly-soft": (
        "{file} has {ppi:.0f} pixels an inch on the {panel} panel, under {wanted:.0f}, and will look clearly soft; "
        "a sharp print needs {width} × {height} pixels there."
    ),
    "card-remark.ground-past-margin": Where(
        "The background of the {panel} panel runs to its edges, but the printer leaves a margin there: it prints only "
        "{reached_mm:.1f} of the panel. Print it borderless, or on a larger sheet that you cut (cut_to_mm).",
        "The background of the {panel} panel runs to its edges, but the printer leaves a margin there: it prints only "
        "{reached_mm:.1f} of the panel. Print it borderless, or on a larger sheet that you cut.",
    ),
    "card-remark.left-out": "Left out of the drawing: {fault}.",
    "card-remark.says-sample-words": "These words still stand as the template has them: {words}. Write your own, or leave them.",
    "card-remark.type-yes": "Type yes to make the file all the same:",
    "card-remark.sample-words": Fault(
        "these words still stand as the template has them: {words}",
        Where(
            "write your own, or say with --yes that they are meant",
            "write your own, or tick that they are meant",
        ),
    ),
    # Faces.
    "card-remark.on-bare-side": (
        "The {face} is printed on the {side} of the card stock, which is not coated: words will do there, pictures come "
        "out dull."
    ),
    "card-remark.on-poor-side": (
        "The {face} is printed on the {side} of the card stock, and its latest test print ({trial}) was judged "
        "{grade}."
    ),
    "card-remark.second-side-untried": Where(
        "Nobody has tried yet how this printer's sheet is turned for its second side, so the {face} may come out upside "
        "down: find out once, on plain paper, with tackside card second-side.",
        "Nobody has tried yet how this printer's sheet is turned for its second side, so the {face} may come out upside "
        "down: print one sheet on plain paper first,"
        " and turn it as you always do.",
    ),
    # Clearance from edges and creases.
    "card-remark.lands-off": "prints of this printer still land up to ±{off_mm:.1f} off",
    "card-remark.lands-off-unmeasured": (
        "prints land up to ±{off_mm:.1f} off (unmeasured here, as the trade sees it)"
    ),
    "card-remark.border-uneven": Where(
        "The border of {border_mm} on the {panel} panel may look uneven, as {why}; the smallest safe one is a "
        "border_mm of {smallest_mm}.",
        "The border of {border_mm} on the {panel} panel may look uneven, as {why}; the smallest safe one is "
        "{smallest_mm}.",
    ),
    "card-remark.strip-uneven": (
        "{file} ends {gap_mm:.1f} from the card's edge on the {panel} panel, and {why}, so the strip there may come "
        "out uneven; let it run past the edge, or end {smallest_mm} or more from it."
    ),
    "card-remark.picture-near-crease": Where(
        "{file} stands {gap_mm:.1f} from the crease on the {panel} panel, and {why}, so it may stop short of the "
        "crease or run past it; the smallest safe border is a border_mm of {smallest_mm}, or let the picture run on "
        'over the crease with panel = "{face}".',
        "{file} stands {gap_mm:.1f} from the crease on the {panel} panel, and {why}, so it may stop short of the "
        "crease or run past it; the smallest safe border is {smallest_mm}, or let the picture run on over the crease.",
    ),
    "card-remark.text-out-of-panel": Where(
        'The text "{start}" on the {panel} panel stands {past_mm:.1f} out of the panel; move its box_mm inwards.',
        'The text "{start}" on the {panel} panel stands {past_mm:.1f} out of the panel; move it inwards.',
    ),
    "card-remark.text-in-margin": (
        'The text "{start}" on the {panel} panel stands in the printer\'s margin and will be cut; keep to the '
        "{reached_mm:.1f} that it reaches, {left_mm:.1f} from the panel's left and {top_mm:.1f} from its top as fed."
    ),
    "card-remark.text-near-crease": (
        'The text "{start}" on the {panel} panel is {gap_mm:.1f} from the crease, and {why}; keep {smallest_mm} or '
        "more."
    ),
    "card-remark.text-near-edge": (
        'The text "{start}" on the {panel} panel is {gap_mm:.1f} from the card\'s edge; keep {smallest_mm} or more.'
    ),
    # Type and codes.
    "card-remark.black-text-on-picture": (
        "The text on the {panel} panel stands on {file}, in black; look whether it can be read there."
    ),
    "card-remark.text-on-picture": (
        "The text on the {panel} panel stands on {file}, in {colour}; look whether it can be read there."
    ),
    "card-remark.variable-not-filled": Where(
        "The text on the {panel} panel prints {{{name}}} as it stands: fill it from rows with --csv, or double its "
        "braces.",
        "The text on the {panel} panel prints {{{name}}} as it stands: fill it from a list at the command line, or "
        "double its braces.",
    ),
    "card-remark.texts-overlap": Where(
        'Two texts on the {panel} panel, "{start}" and "{other}", overlap; move one with place or box_mm.',
        'Two texts on the {panel} panel, "{start}" and "{other}", overlap; move one of them.',
    ),
    "card-remark.code-too-fine": Where(
        "The QR code's modules are {module_mm} wide, which some telephones miss; a qr_mm of {code_mm} makes them "
        "{wanted_mm}, or shorten what it says.",
        "The QR code's modules are {module_mm} wide, which some telephones miss; shorten what it says.",
    ),
    "card-remark.code-too-pale": "The QR code is too pale to be read; give the credit a darker colour.",
    "card-remark.code-on-text": Where(
        'The QR code and the text "{start}" overlap on the {panel} panel; move the text with place or box_mm.',
        'The QR code and the text "{start}" overlap on the {panel} panel; move the text.',
    ),
    "card-remark.text-set-smaller": (
        '"{start}" on the {panel} panel is set at {size:.1f} pt in place of {asked:g} pt, so that it fits.'
    ),
    "card-remark.low-contrast": (
        'The text "{start}" stands out from its ground by only {contrast:.1f} : 1, under {wanted:g} : 1; choose a '
        "darker or a lighter colour."
    ),
    "card-remark.font-of-this-computer": Where(
        '"{letters}" on the {panel} panel is set in {font}, a font of this computer; name a font file as [[fonts]] to '
        "have it the same everywhere.",
        '"{letters}" on the {panel} panel is set in {font}, a font of this computer, and may look otherwise elsewhere.',
    ),
    "card-remark.mixed-faces": (
        '"{letters}" on the {panel} panel is set in {fonts}, as the face {face} lacks it; look whether they go '
        "together."
    ),
    "card-remark.mixed-faces-avoidable": Where(
        '"{letters}" on the {panel} panel is set in {fonts}, as the face {face} lacks it; face = "{whole}" has all of '
        "the text.",
        '"{letters}" on the {panel} panel is set in {fonts}, as the face {face} lacks it; the face {whole} has all of '
        "the text.",
    ),
}
