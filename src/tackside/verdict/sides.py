"""Which side of a card takes ink: a half-sheet trial on each side and a damp finger, weighed together.

The classes of line growth are those of ``traits``; the odds beforehand are this project's
own, since most card is coated on one side only (docs/sources.md, S51). Readings count as far as they are to be trusted,
and no side is called sure where one of them is unfit, where they were not read alike or where the evidence contradicts
itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.messages.message import Message
from tackside.records.reading import Reading
from tackside.verdict.causes.answers import drag_odds
from tackside.verdict.causes.finding import fitness, unfit_notice
from tackside.verdict.causes.traits import GAIN, Normal, line_gain
from tackside.verdict.causes.weigh import differences
from tackside.verdict.measures.measure import extremes, number
from tackside.verdict.measures.patch_table import patch_table

Drag = Literal["yes", "no", "unsure"]
Printable = Literal["front", "back", "both", "neither"]
BEFOREHAND: dict[Printable, float] = {"front": 0.4, "back": 0.2, "both": 0.2, "neither": 0.2}
SURE = 0.9
# Black L* of a coated card (docs/sources.md, S26: 4 to 9 photo, 12 to 19 pearl and silk, 15 to 18 matt and cotton) and
# of one with no inkjet coating (S27: 27 to 38, one weak source; S28: 32, offset as measured): mean and sd.
ANY_COATED, BARE_BLACK = (12.0, 5.0), (30.5, 4.0)
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
    """``printable``: the likeliest; ``probabilities`` over all four sum to 1."""

    printable: Printable
    probabilities: dict[Printable, float]
    sure: bool
    reasons: tuple[Message, ...]


def find_side(
    front: Reading | None = None,
    back: Reading | None = None,
    *,
    drag_front: Drag | None = None,
    drag_back: Drag | None = None,
) -> SideFinding:
    """Weigh what is at hand of each side; with nothing at hand the odds beforehand stand.

    Readings of a print on each side should be read alike, in one scan at best. Answers by eye give the finger's word
    alone. Raises BadRequest where a reading has no black patch.
    """
    readings = [None if one is None or one.kind == "eye" else one for one in (front, back)]
    blacks = [_black(reading) if reading else None for reading in readings]
    gains = [line_gain(reading) if reading else None for reading in readings]
    fits = [fitness(reading) if reading else 1.0 for reading in readings]
    alike = readings[0] is None or readings[1] is None or readings[0].is_read_like(readings[1])
    drags = [drag_odds(_DRAGS[drag]) if drag else 0.0 for drag in (drag_front, drag_back)]
    logs = {
        printable: float(np.log(BEFOREHAND[printable]))
        + _of_blacks(blacks, coated, fits, alike)
        + sum(
            fit * _of_gain(gain, is_coated) for fit, gain, is_coated in zip(fits, gains, coated, strict=True)
        )
        + sum(odds for odds, is_coated in zip(drags, coated, strict=True) if is_coated)
        for printable, coated in _COATED.items()
    }
    top = max(logs.values())
    weights = {printable: float(np.exp(value - top)) for printable, value in logs.items()}
    chances: dict[Printable, float] = {
        name: weight / sum(weights.values()) for name, weight in weights.items()
    }
    best = max(chances, key=lambda name: chances[name])
    against = any(_contradict(*each) for each in zip((drag_front, drag_back), blacks, strict=True))
    sure = chances[best] >= SURE and min(fits) == 1.0 and alike and not against
    reasons = _reasons(best, chances, blacks, (drag_front, drag_back), sure)
    doubts = [_unfit(reading) for reading in readings if reading and fitness(reading) < 1.0]
    if not alike and readings[0] is not None and readings[1] is not None:
        known = differences(readings[0], readings[1]) is not None
        doubts.append(Message("side.not-alike" if known else "verdict.sides-not-known-alike"))
    return SideFinding(best, chances, sure, (*reasons, *dict.fromkeys(doubts)))


def drags_answered(front: Reading | None, back: Reading | None) -> tuple[Drag | None, Drag | None]:
    """What answers by eye say of a damp finger on the front and on the back, whichever side they were printed on."""
    told: list[Drag | None] = [None, None]
    for side, reading in enumerate((front, back)):
        if reading is None:
            continue
        for here, name in ((side, "eye_drag_this_side"), (1 - side, "eye_drag_other_side")):
            found = reading.attributes.get(name)
            if found is None:
                continue
            said: Drag = "yes" if found.value > 0.75 else "no" if found.value < 0.25 else "unsure"
            said = said if fitness(reading) == 1.0 else "unsure"
            # Two people, or one twice, who disagree are not sure.
            told[here] = said if told[here] in (None, said) else "unsure"
    return told[0], told[1]


def _unfit(reading: Reading) -> Message:
    notice = unfit_notice(reading)
    return (
        Message("side.unfit-itself") if notice is None else Message("side.unfit", why=Message.of_data(notice))
    )


def _black(reading: Reading) -> tuple[float, float] | None:
    """L* of black and its standard uncertainty."""
    if not reading.patches:
        return None
    found = extremes(patch_table(reading))
    value = number(found, "black_l")
    return None if value is None else (value, found["black_l"].sd or 1.0)


def _of_blacks(
    blacks: list[tuple[float, float] | None], coated: tuple[bool, bool], fits: list[float], alike: bool
) -> float:
    """Log likelihood of both blacks, the scanner's own error of black left open: one for both where read alike."""
    each = np.array(
        [
            [fit * _of_black(black, is_coated, off) for off in _SHARED_OFF]
            for black, is_coated, fit in zip(blacks, coated, fits, strict=True)
        ]
    )
    if alike:
        return float(np.logaddexp.reduce(each.sum(axis=0)))
    return float(np.logaddexp.reduce(each, axis=1).sum())


def _of_black(black: tuple[float, float] | None, is_coated: bool, off: float) -> float:
    if black is None:
        return 0.0
    mean, sd = ANY_COATED if is_coated else BARE_BLACK
    return Normal(mean, sd).log_density(black[0] - off, max(black[1], 1.0))


def _of_gain(gain: tuple[float, float] | None, is_coated: bool) -> float:
    return 0.0 if gain is None else GAIN["coated" if is_coated else "bare"].log_density(*gain)


def _reasons(
    best: Printable,
    chances: dict[Printable, float],
    blacks: list[tuple[float, float] | None],
    drags: tuple[Drag | None, Drag | None],
    sure: bool,
) -> tuple[Message, ...]:
    said = [Message(f"side.{'' if sure else 'likeliest-'}{best}", chance=chances[best])]
    for side, black, drag in zip(("front", "back"), blacks, drags, strict=True):
        if black is not None:
            said.append(Message(f"side.black-on-{side}", value=black[0]))
        if drag is not None:
            said.append(Message(f"side.{_FINGER[drag]}-{side}"))
    if any(_contradict(drag, black) for drag, black in zip(drags, blacks, strict=True)):
        said.append(Message("side.contradiction"))
    if not sure and None in blacks:
        said.append(Message("side.print-both-halves"))
    return tuple(said)


_FINGER: dict[Drag, str] = {"yes": "drags-on", "no": "glides-on", "unsure": "unsure-of"}


def _contradict(drag: Drag | None, black: tuple[float, float] | None) -> bool:
    """A finger that drags where the print is paler than coated card gets, or glides where it is as deep."""
    if black is None:
        return False
    return black[0] > BARE_BLACK[0] - BARE_BLACK[1] if drag == "yes" else drag == "no" and black[0] < _DEEP
