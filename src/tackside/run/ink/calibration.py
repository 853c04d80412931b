"""Millilitres for a tone, from the user's own cartridges.

For each ink, what was emptied between its first and its last change, divided by the full tones that the ink model
counts for all sheets printed in that time, is that ink's share of a full tone. The shares of all inks of the printer
add up to its ml/m². Ink for cleaning is in it, since it was in the cartridges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.records.run import InkChange, Tally
from tackside.run.ink.ink import FULL_TONE_ML_M2, PHOTOGRAPH_ML_M2, USUAL_DOUBT

# A span is believed once so much full tone was printed in it: about 25 A4 sheets of photographs (our choice).
LEAST_TONES_M2 = 2.0
# What is left of the doubt once the printer's own records speak: the ink model's own (see docs/plan-a-run.md).
OWN_DOUBT = 0.10
WHOLE_SET = "set"


@dataclass(frozen=True)
class Calibration:
    """``ml_m2``: ml for a square metre of full tone. ``doubt``: its relative uncertainty. ``basis``: its source."""

    ml_m2: float
    doubt: float
    basis: Message


def calibrate(
    printer: str, inks: int | None, changes: Sequence[InkChange], tallies: Sequence[Tally]
) -> Calibration:
    """The calibration of a printer with so many inks (None: unknown), from its changes and its tallies.

    Falls back on the usual figures, and says why, where an ink has not been changed twice, too little was printed
    in between, or some of the sheets in between have no coverage on record.
    """
    names = sorted({change.ink for change in changes})
    if not names:
        return _usual(Message("ink.no-cartridge", printer=printer))
    lack = None if names == [WHOLE_SET] else _lack(printer, names, inks)
    if lack is not None:
        return _usual(lack)
    shares: list[float] = []
    for name in names:
        own = sorted((change for change in changes if change.ink == name), key=lambda change: change.made_at)
        if len(own) < 2:
            return _usual(Message("ink.changed-once", ink=name, printer=printer))
        between = [t for t in tallies if own[0].made_at < t.made_at <= own[-1].made_at]
        if any(tally.tones_m2 is None for tally in between):
            return _usual(Message("ink.coverage-missing", printer=printer, ink=name))
        tones = sum(tally.tones_m2 or 0.0 for tally in between)
        if tones < LEAST_TONES_M2:
            return _usual(Message("ink.too-little-printed", printer=printer, ink=name))
        shares.append(sum(change.ml for change in own[:-1]) / tones)
    return Calibration(sum(shares), OWN_DOUBT, Message("ink.from-cartridges", printer=printer))


def _lack(printer: str, names: Sequence[str], inks: int | None) -> Message | None:
    if WHOLE_SET in names:
        return Message("ink.sets-and-single", printer=printer)
    if inks is None:
        return Message("ink.count-unknown", printer=printer)
    if len(names) < inks:
        return Message("ink.some-inks-only", known=len(names), inks=inks, printer=printer)
    return None


def _usual(why: Message) -> Calibration:
    low, high = PHOTOGRAPH_ML_M2
    return Calibration(FULL_TONE_ML_M2, USUAL_DOUBT, Message("ink.usual", least=low, most=high, why=why))
