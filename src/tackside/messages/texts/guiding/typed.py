"""What was typed and not understood, and the usual slips: a doubt is said and kept if the person says that it is right."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    # Not understood: what was typed, and forms that are.
    "typed.no-length": Fault("“{given}” is not a length", "type one such as 148, 14.8 cm or 5 1/2 in"),
    "typed.no-caliper": Fault("“{given}” is not a thickness", "type one such as 0.32 mm, 320 µm or 12 mil"),
    "typed.no-size": Fault(
        "“{given}” is not a size", "type one such as A5, 148 x 210, 21 x 29.7 cm or 5 x 7 in"
    ),
    "typed.no-weight": Fault("“{given}” is not a weight of card", "type one such as 300 gsm or 110 lb cover"),
    "typed.no-price": Fault("“{given}” is not a price", "type one such as £14.50, 14,50 € or 14.50 USD"),
    "typed.no-whole-number": Fault("“{given}” is not a whole number", "type one such as 25"),
    "typed.no-number": Fault("“{given}” is not a number", "type one such as 600"),
    "typed.no-margins": Fault(
        "“{given}” is not a margin",
        "type one such as 3 mm, or four: top, bottom, left, right, with semicolons between them",
    ),
    "typed.no-choice": Fault("“{given}” is none of the answers", "answer {choices:or}"),
    "typed.no-currency": Fault(
        "the price “{given}” names no currency", "type it with one, as £14.50 or 14.50 USD"
    ),
    "typed.price-of-no-pack": Fault(
        "this is the price of a pack, and it is not said how many sheets are in it",
        "say how many sheets the pack has",
    ),
    "typed.needed": Fault("this cannot stay empty", "type an answer, or stop with Ctrl-C"),
    "typed.needed-field": Fault("this is empty", "fill it in"),
    "typed.answers-missing": Fault(
        "these answers are missing: {options}",
        "give them as options, or call it in a terminal, where it asks",
    ),
    "typed.which-stock": Fault("it is not said which card is meant", "name one: {names:or}"),
    "typed.which-printer": Fault("it is not said which printer is meant", "name one: {names:or}"),
    "typed.no-stock": Fault(
        "no card is described yet", Where(terminal="describe one: tackside stock new", page="describe one")
    ),
    "typed.no-printer": Fault(
        "no printer is described yet",
        Where(terminal="describe one: tackside printer new", page="describe one"),
    ),
    "typed.of-option": Fault("{option}: {fault}", "{fault:fix}"),
    "typed.input-ended": Fault(
        "the input ended before the last answer; nothing was kept", "answer all questions, or give options"
    ),
    "typed.name-taken": Fault("there is {name} already", "take another name, or edit that one"),
    "typed.doubtful": Fault(
        "look again: {doubts:lines}",
        Where(
            terminal="say so with --yes if all of it is right, or correct it",
            page="say so if all of it is right, or correct it",
        ),
    ),
    # Doubts, without a full stop: several are joined by semicolons.
    "typed.size-in-cm": "{size_mm} is smaller than any card: in centimetres it would be {meant_mm}",
    "typed.size-in-inches": "{size_mm} is smaller than any card: in inches it would be {meant_mm}",
    "typed.size-in-another-unit": "{size_mm} is smaller than any card: in centimetres it would be {cm_mm}, in inches {inches_mm}",
    "typed.one-edge-small": "{size_mm}: an edge of {edge_mm} is narrower than any card: was it typed in another unit?",
    "typed.folded-size": "{size_mm} with no crease: if the card folds in half to this size, its open sheet is about {open_mm}, and that is the size to give",
    "typed.crease-near-edge": "the crease lies {at_mm} from an edge, and the middle is at {middle_mm}: was it typed in another unit?",
    "typed.odd-weight": "{weight} g/m² is unusual for card: packs have 150 to 400 g/m²",
    "typed.odd-caliper": "a thickness of {caliper_mm:.3f} is unusual for card: 0.2 to 0.6 mm is usual, and 12 mil are 0.3 mm",
    "typed.caliper-beside-weight": "{caliper_mm:.3f} thick at {weight} g/m² is unusual: card of 300 g/m² is 0.25 to 0.6 mm thick",
    "typed.wide-margin": "a margin of {margin_mm} is unusually wide: 3 to 15 mm is usual",
    "typed.right-anyway": "Type yes if that is right:",
}
