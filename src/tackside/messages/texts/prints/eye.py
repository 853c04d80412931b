"""Answers by eye: the questions as the terminal asks them, and what is said of the answers."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    # Questions.
    "eye.ask-dark-steps-alike": "How many grey steps next to black look as black as black? (0 if none)",
    "eye.ask-light-steps-alike": "How many grey steps next to white look as white as the card? (0 if none)",
    "eye.ask-smallest-type-pt": "What is the smallest size of black type that you can read, in pt?",
    "eye.ask-smallest-reversed-type-pt": "And of white type on black, in pt?",
    "eye.ask-creep": "Does ink creep out of the solids, so that their edges look furred?",
    "eye.ask-drag-this-side": "Does a damp fingertip drag on a clear corner of the printed side?",
    "eye.ask-drag-other-side": "And on the other side of the card?",
    "eye.ask-beside-screen": "Beside the screen, how strong are the scene's colours?",
    "eye.ask-greys-match": "Of the swatches of the middle grey on a screen, which looks like the patch? Steps lighter, from -3 (darker) to 3; 0 is the file's own",
    "eye.ask-soft-cyans-match": "And of those of the soft cyan? Steps lighter and stronger, as -1 0",
    "eye.ask-soft-cyans-hue-match": "Which hue has that patch? Steps bluer, from -3 (greener) to 3; 0 is the file's own",
    "eye.ask-soft-reds-match": "Which swatch looks like the soft red? Steps lighter and stronger, as -1 0",
    "eye.ask-soft-reds-hue-match": "Which hue has that patch? Steps yellower, from -3 (bluer) to 3",
    "eye.ask-soft-greens-match": "Which swatch looks like the soft green? Steps lighter and stronger, as -1 0",
    "eye.ask-soft-greens-hue-match": "Which hue has that patch? Steps bluer, from -3 (yellower) to 3",
    "eye.ask-soft-purples-match": "Which swatch looks like the soft purple? Steps lighter and stronger, as -1 0",
    "eye.ask-soft-purples-hue-match": "Which hue has that patch? Steps redder, from -3 (bluer) to 3",
    "eye.ask-greys-tint": "Which way are the greys tinted?",
    "eye.ask-tint-strength": "How much?",
    "eye.ask-light-lines": "Are there fine light lines across the solids?",
    "eye.ask-doubled-lines": "Are thin lines doubled?",
    "eye.ask-ruler-across-mm": "The ruler across the sheet: its last figure and its true length in mm, as 100 99.5",
    "eye.ask-ruler-along-mm": "The ruler along the feed, likewise",
    "eye.ask-black-beside-good": "Beside a good print: how deep is the black?",
    "eye.ask-colour-beside-good": "Beside a good print: how strong are the colours?",
    "eye.ask-middle-beside-good": "Beside a good print: how dark are the middle greys?",
    "eye.ask-light-greens-beside-good": "Beside a good print: how strong are the light greens and cyans?",
    "eye.ask-soft-cyans-beside-good": "Beside a good print of a sheet in the same colour space: how strong are the soft, greyish cyans of the cube?",
    "eye.ask-soft-reds-beside-good": "And its soft, greyish reds, beside the good print?",
    "eye.ask-soft-reds-hue-beside-good": "What hue have these soft reds, beside the good print?",
    "eye.ask-soft-purples-hue-beside-good": "And the soft, greyish purples of the cube, beside the good print?",
    "eye.ask-soft-blues-hue-beside-good": "And its soft, greyish blues, beside the good print?",
    "eye.ask-hues-off": "Of the six full colours (cyan, magenta, yellow, red, green, blue), how many are plainly another colour or none? (0 if each is its own)",
    "eye.ask-missing-inks": "Which inks print nothing, or only stripes? (c, m, y, k; none if all print)",
    "eye.ask-drying-hours": "For how many hours has it dried?",
    # Answers that cannot be taken.
    "eye.nothing-answered": Fault(
        "no question was answered", "answer one at least; leave out only what you cannot tell"
    ),
    "eye.unknown-question": Fault('there is no question "{question}"', "the questions are {questions}"),
    "eye.no-answer": Fault('{question} = "{answer}" is no answer', "give one of: {choices}"),
    "eye.no-number": Fault('{question} = "{answer}" is no answer', "give a number that can be"),
    "eye.nobody-to-ask": Fault(
        "there is nobody to ask",
        Where("give a TOML file, or --say with {questions}, …", "answer the questions: {questions}, …"),
    ),
    "eye.file-and-say": Fault(
        Where("both a file and --say were given", "both a file and single answers were given"),
        "give one of them",
    ),
    "eye.say-without-sign": Fault(
        Where('--say "{given}" has no =', 'the answer "{given}" has no ='), "write it as QUESTION=ANSWER"
    ),
    # What to mind.
    "eye.nothing-beside": "No good print lay beside it: how deep the black and how rich the colours are is not known by eye.",
    "eye.half-wet": "The print is still half wet: black and colours change until it is dry. Answer again after 24 hours.",
    "eye.one-ruler": "One ruler alone does not tell whether the sheet or only its feed is off: measure both.",
    # Answers that contradict each other.
    "eye.black-weaker-colours-richer": "Answers contradict each other: the black is much weaker than the good print's, and the colours are richer. Look again; until then they count for less.",
    "eye.stronger-than-screen-duller-than-print": "Answers contradict each other: the colours are stronger than the screen's, and much duller than the good print's. Look again; until then they count for less.",
    "eye.bare-side-prints-well": "Answers contradict each other: the printed side does not drag, as bare card, yet it prints like the good print. Look again; until then they count for less.",
    "eye.creep-yet-small-type": "Answers contradict each other: ink creeps much, and the smallest white type in black still reads. Look again; until then they count for less.",
    "eye.no-tint-yet-strong": "Answers contradict each other: the greys have no tint, and the tint is strong. Look again; until then they count for less.",
    "eye.ruler-misread": "Answers contradict each other: the ruler's {asked_mm:g} measure {measured_mm:g}, more off than any path scales. Look again; until then they count for less.",
}
