"""The verdict's sentences that belong to no single rule: grade, shares, cause."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.records.verdict import Cause, Combination, Grade, Measure
from tackside.verdict.measures.all import number, spread

GRADE_WORDS: dict[Grade, str] = {
    "sell": "good enough to sell.",
    "send": "good enough to send to friends, a little short of what is sold.",
    "draft": "good for a draft or a mock-up, not for a finished card.",
    "reject": "this print does not make a card.",
}

CAUSE_WORDS: dict[Cause, str] = {
    "none": "nothing is wrong",
    "stock": "the card itself: no inkjet coating, or a poor one",
    "side": "the wrong side of the card",
    "too-little-ink": "a media setting that lays too little ink",
    "too-much-ink": "a media setting that lays too much ink",
    "managed-twice": "colour managed twice",
    "unmanaged": "colour managed by nobody",
    "wide-read-as-narrow": "numbers of a wide colour space read as sRGB",
    "narrow-read-as-wide": "sRGB numbers read as a wide colour space",
    "missing-ink": "an ink that is missing or blocked",
    "alignment": "print heads out of alignment",
    "scaling": "something on the way that scales the page",
    "unknown": "something that this reading cannot show",
}


def as_noun(cause: Cause) -> str:
    """The cause after "for", "against" or "if it were"."""
    return "a sound print" if cause == "none" else CAUSE_WORDS[cause]


# What to try next, by cause.
CAUSE_TESTS: dict[Cause, str] = {
    "stock": "print the same sheet on a card known to be good: if that is fine, it is the card",
    "side": "print a small patch on the other side: the coated side is much darker, and a damp fingertip "
    "drags on it (try that well away from a running, powered printer)",
    "too-little-ink": "print again with a heavier media setting, and change nothing else",
    "too-much-ink": "print again with a lighter media setting, and change nothing else",
    "managed-twice": "print the same file with colour managed in one place only",
    "unmanaged": "let the application or the driver manage colour, and print the same file",
    "wide-read-as-narrow": "check that the file's profile is kept on the way to the printer",
    "narrow-read-as-wide": "check that the file's profile is kept on the way to the printer",
    "missing-ink": "print the printer's nozzle check",
    "alignment": "run the printer's head alignment",
    "scaling": "switch off any fit or borderless enlargement, and measure the printed ruler",
}
_WORTH_NAMING, _SURE_ENOUGH, _PLAIN = 0.15, 0.4, 0.6


def cause_sentence(grade: Grade, causes: dict[Cause, float]) -> str:
    """The likely causes with their chances, and the test that tells them apart."""
    ranked = sorted(causes, key=lambda cause: -causes[cause])
    first = ranked[0]
    if first == "none" and grade == "sell":
        return f"No fault shows ({_percent(causes[first])})."
    if causes[first] < _SURE_ENOUGH or first in ("none", "unknown"):
        opening = "What causes it cannot be told from this reading; weighed on it alone"
    else:
        opening = "Likeliest cause, on this evidence alone"
    named = [cause for cause in ranked if cause == first or causes[cause] >= _WORTH_NAMING]
    weighed = "; ".join(f"{CAUSE_WORDS[cause]} ({_percent(causes[cause])})" for cause in named)
    tests = [CAUSE_TESTS[cause] for cause in named if cause in CAUSE_TESTS][:2]
    advice = f" To tell: {'; or '.join(tests)}." if tests else ""
    return f"{opening}: {weighed}.{advice}"


def combined_sentences(combined: Sequence[Combination]) -> list[str]:
    """Faults that may be there together."""
    return [
        f"Two faults may be at work together: {CAUSE_WORDS[one.causes[0]]}, and {CAUSE_WORDS[one.causes[1]]} "
        f"({_percent(one.probability)})."
        for one in combined
    ]


def limits(causes: dict[Cause, float]) -> list[str]:
    """What no setting can mend, said plainly."""
    card = causes["stock"] + causes["side"]
    if card < _PLAIN:
        return []
    if causes["side"] > 2 * causes["stock"]:
        return ["No setting gives depth that this side can't hold: turn the card over."]
    return ["No setting gives depth that the card can't hold: this needs another card, or its other side."]


def share_sentence(measures: dict[str, Measure], reference: str) -> list[str]:
    """One sentence on the shares of the reference, named so, or none."""
    parts = [
        f"{_percent(share)} (± {100 * spread(measures, name):.0f}) of its {words}"
        for name, words in (
            ("share_l_range", "lightness range"),
            ("share_chroma", "chroma"),
            ("share_gamut_volume", "colour volume"),
        )
        if (share := number(measures, name)) is not None
    ]
    return [f"Beside {reference} it has {', '.join(parts)}."] if parts else []


def listed(words: Sequence[str]) -> str:
    """Words as "a, b or c"."""
    return " or ".join(filter(None, (", ".join(words[:-1]), words[-1] if words else "")))


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
