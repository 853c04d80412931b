"""Paper white in words: its tint, and the ISO 12647-2 paper it is nearest to."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import lab_to_lch
from tackside.messages.message import Message
from tackside.records.reading import Lab


@dataclass(frozen=True)
class PaperClass:
    """A paper type of ISO 12647-2:2004, table 1: L*a*b* on black and on white backing (D50, 2°, 0/45)."""

    name: Message
    on_black: Lab
    on_white: Lab


PAPER_CLASSES = (
    PaperClass(Message("measure.paper.gloss-coated"), (93, 0, -3), (95, 0, -2)),
    PaperClass(Message("measure.paper.matt-coated"), (92, 0, -3), (94, 0, -2)),
    PaperClass(Message("measure.paper.gloss-coated-web"), (87, -1, 3), (92, 0, 5)),  # docs/sources.md, S105
    PaperClass(Message("measure.paper.uncoated-white"), (92, 0, -3), (95, 0, -2)),
    PaperClass(Message("measure.paper.uncoated-yellowish"), (88, 0, 6), (90, 0, 9)),
)
TOLERANCE: Lab = (3, 2, 2)

# Under two units of chroma a white looks neutral beside another; over five it looks coloured
# (docs/sources.md, S34).
_NEUTRAL, _SLIGHT, _PLAIN = 2.0, 5.0, 10.0
_HUES = (
    (20, "pinkish"),
    (65, "warm"),
    (110, "yellowish"),
    (200, "greenish"),
    (315, "bluish"),
    (360, "pinkish"),
)


def tint_of(lab: Lab) -> Message:
    """The paper white in words, such as "bright and slightly bluish"."""
    lightness, chroma, hue = (float(value) for value in lab_to_lch(np.array(lab, dtype=float)))
    light = "bright" if lightness >= 93 else "fairly-bright" if lightness >= 88 else "greyed"
    if lightness < 75:
        light = "dark"
    tint = "neutral"
    if chroma >= _NEUTRAL:
        degree = "slightly-" if chroma < _SLIGHT else "" if chroma < _PLAIN else "strongly-"
        tint = degree + next(word for limit, word in _HUES if hue <= limit)
    return Message(
        "measure.tint", light=Message(f"measure.light.{light}"), hue=Message(f"measure.hue.{tint}")
    )


def paper_classes(lab: Lab) -> tuple[Message, ...]:
    """ISO 12647-2 papers whose white lies within the tolerance of ``lab``, nearest first; maybe none.

    White alone cannot tell coated from uncoated: the standard gives both nearly the same white.
    """
    found = []
    for paper in PAPER_CLASSES:
        gaps = [math.dist(lab, aim) for aim in (paper.on_black, paper.on_white) if _within(lab, aim)]
        if gaps:
            found.append((min(gaps), paper.name))
    return tuple(name for _, name in sorted(found, key=lambda pair: pair[0]))


def _within(lab: Lab, aim: Lab) -> bool:
    return all(abs(value - target) <= most for value, target, most in zip(lab, aim, TOLERANCE, strict=True))
