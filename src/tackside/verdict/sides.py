"""Which side of a card takes ink: a half-sheet trial on each side and a damp finger, weighed together.

The classes of black and of line growth are those of ``cards`` and ``traits``; the odds beforehand are this project's
own, after the trade's rule that most card is coated on one side only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.bench.records.reading import Reading
from tackside.verdict.answers import drag_odds
from tackside.verdict.cards import ANY_COATED, BARE_BLACK
from tackside.verdict.measures import number
from tackside.verdict.roles import patch_table
from tackside.verdict.tone import extremes
from tackside.verdict.traits import GAIN, Normal, line_gain

Drag = Literal["yes", "no", "unsure"]
Printable = Literal["front", "back", "both", "neither"]
BEFOREHAND: dict[Printable, float] = {"front": 0.4, "back": 0.2, "both": 0.2, "neither": 0.2}
SURE = 0.9
_DEEP = 20.0  # L*: the black rule's limit for what is sold
_COATED: dict[Printable, tuple[bool, bool]] = {
    "front": (True, False),
    "back": (False, True),
    "both": (True, True),
    "neither": (False, False),
}
# A drag by finger as (answer, its sd): 1 drags.
_DRAGS: dict[Drag, tuple[float, float]] = {"yes": (1.0, 0.1), "no": (0.0, 0.1), "unsure": (0.5, 0.3)}
# One sd of a scanner's L* of black, shared by both sides where they are read alike.
_SHARED_OFF = (-4.0, -2.0, 0.0, 2.0, 4.0)


@dataclass(frozen=True)
class SideFinding:
    """``printable``: the likeliest; ``probabilities`` over all four sum to 1; ``reasons`` in sentences."""

    printable: Printable
    probabilities: dict[Printable, float]
    sure: bool
    reasons: tuple[str, ...]


def find_side(
    front: Reading | None = None,
    back: Reading | None = None,
    *,
    drag_front: Drag | None = None,
    drag_back: Drag | None = None,
) -> SideFinding:
    """Weigh what is at hand of each side; with nothing at hand the odds beforehand stand.

    Readings of a print on each side should be read alike. Raises BadRequest where a reading has no black patch.
    """
    blacks = [_black(reading) if reading else None for reading in (front, back)]
    gains = [line_gain(reading) if reading else None for reading in (front, back)]
    drags = [drag_odds(_DRAGS[drag]) if drag else 0.0 for drag in (drag_front, drag_back)]
    logs = {}
    for printable, coated in _COATED.items():
        off_logs = [
            sum(_of_black(black, is_coated, off) for black, is_coated in zip(blacks, coated, strict=True))
            for off in _SHARED_OFF
        ]
        logs[printable] = (
            float(np.log(BEFOREHAND[printable]))
            + float(np.logaddexp.reduce(off_logs))
            + sum(_of_gain(gain, is_coated) for gain, is_coated in zip(gains, coated, strict=True))
            + sum(odds for odds, is_coated in zip(drags, coated, strict=True) if is_coated)
        )
    top = max(logs.values())
    weights = {printable: float(np.exp(value - top)) for printable, value in logs.items()}
    chances: dict[Printable, float] = {
        name: weight / sum(weights.values()) for name, weight in weights.items()
    }
    best = max(chances, key=lambda name: chances[name])
    reasons = _reasons(best, chances, blacks, (drag_front, drag_back))
    return SideFinding(best, chances, chances[best] >= SURE, reasons)


def _black(reading: Reading) -> tuple[float, float] | None:
    """L* of black and its standard uncertainty."""
    if not reading.patches:
        return None
    found = extremes(patch_table(reading))
    value = number(found, "black_l")
    return None if value is None else (value, found["black_l"].sd or 1.0)


def _of_black(black: tuple[float, float] | None, is_coated: bool, off: float) -> float:
    if black is None:
        return 0.0
    mean, sd = ANY_COATED if is_coated else BARE_BLACK
    return Normal(mean, sd).log_density(black[0] - off, 1.0)


def _of_gain(gain: tuple[float, float] | None, is_coated: bool) -> float:
    return 0.0 if gain is None else GAIN["coated" if is_coated else "bare"].log_density(*gain)


def _reasons(
    best: Printable,
    chances: dict[Printable, float],
    blacks: list[tuple[float, float] | None],
    drags: tuple[Drag | None, Drag | None],
) -> tuple[str, ...]:
    told = {
        "front": "Print on the front: it is coated, and the back is not",
        "back": "Print on the back: it is coated, and the front is not",
        "both": "Both sides are coated",
        "neither": "Neither side has an inkjet coating, and no setting gives depth that the card can't hold",
    }[best]
    said = [f"{told} ({100 * chances[best]:.0f} %)."]
    for side, black, drag in zip(("front", "back"), blacks, drags, strict=True):
        if black is not None:
            said.append(
                f"On the {side} black reaches L* {black[0]:.1f}; coated card reaches 19 or lower, bare card 27."
            )
        if drag is not None:
            said.append(
                {
                    "yes": f"A damp finger drags on the {side}.",
                    "no": f"A damp finger glides on the {side}.",
                }.get(drag, f"The finger was not sure of the {side}.")
            )
    if any(_contradict(drag, black) for drag, black in zip(drags, blacks, strict=True)):
        said.append(
            "The finger and the prints contradict each other: try the finger again on a dry, clean corner."
        )
    if chances[best] < SURE:
        said.append("That is not sure yet: print half a sheet on each side and scan both at once.")
    return tuple(said)


def _contradict(drag: Drag | None, black: tuple[float, float] | None) -> bool:
    """A finger that drags where the print is paler than coated card gets, or glides where it is as deep."""
    if black is None:
        return False
    return black[0] > BARE_BLACK[0] - BARE_BLACK[1] if drag == "yes" else drag == "no" and black[0] < _DEEP
