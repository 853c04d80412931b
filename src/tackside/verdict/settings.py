"""Two trials beside each other: which settings differ, and what a single difference did."""

from __future__ import annotations

from tackside.records import Trial
from tackside.records.verdict import Measure
from tackside.verdict.measures.all import number, spread

_WORDS = {
    "media_setting": "the media setting",
    "quality": "the quality setting",
    "colour_managed_by": "who manages colour",
    "profile": "the profile",
    "intent": "the rendering intent",
    "black_point_compensation": "black point compensation",
    "source_space": "the file's colour space",
}
# Figures told, with their unit and the smallest change worth telling.
_FIGURES = (
    ("black_l", "black", "L*", 1.0),
    ("grey_balance_mean", "the greys' cast", "ΔCh", 0.7),
    ("line_gain", "the growth of lines", "µm", 8.0),
)


def differing(one: Trial, other: Trial) -> tuple[str, ...]:
    """Names of the settings, known of both, that differ; ``side`` and ``stock`` too."""
    names = [
        name
        for name in _WORDS
        if None not in (getattr(one.settings, name), getattr(other.settings, name))
        and getattr(one.settings, name) != getattr(other.settings, name)
    ]
    names += [name for name in ("stock", "side", "printer") if getattr(one, name) != getattr(other, name)]
    return tuple(names)


def compared(
    one: Trial, other: Trial, measures: dict[str, Measure], reference: dict[str, Measure]
) -> tuple[str, ...]:
    """A sentence where just one setting differs between two trials of the same side of the same card."""
    names = differing(one, other)
    if len(names) != 1 or names[0] not in _WORDS:
        return ()
    name = names[0]
    changes = []
    for measure, words, unit, least in _FIGURES:
        here, there = number(measures, measure), number(reference, measure)
        if here is None or there is None:
            continue
        change = here - there
        sd = max(spread(measures, measure), 0.1) if measure != "black_l" else 0.5
        if abs(change) >= max(least, 2 * sd):
            changes.append(f"{words} went from {there:.1f} to {here:.1f} {unit}")
    did = "; ".join(changes) if changes else "nothing changed that can be told from chance"
    return (
        f"Only {_WORDS[name]} differs from the trial beside it ({getattr(other.settings, name)} there, "
        f"{getattr(one.settings, name)} here), so this is its doing: {did}.",
    )
