"""The newest reading of each card on a bench, and whether readings may be ranked against each other."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.picture.proof.tested_cards import ReadCard
from tackside.profile.device.device_model import DeviceModel
from tackside.records import Reading, Trial


def newest_readings(
    bench: Bench, printer: str | None = None, *, stock: str | None = None
) -> tuple[tuple[Trial, Reading], ...]:
    """The newest reading of each stock, side and printer, with its trial, or of one printer's or stock's alone; answers
    by eye have no colours and are left out."""
    newest = bench.measured.newest(stock=stock, printer=printer)
    return tuple((bench.trials.get(trial), bench.readings.get(reading)) for trial, reading in newest)


def tested_cards(bench: Bench) -> tuple[ReadCard, ...]:
    """All cards that were read, as devices; one that no device can be made of is left out."""
    cards = []
    for trial, reading in newest_readings(bench):
        try:
            cards.append(ReadCard(card_name(trial), DeviceModel.fitted(reading)))
        except TacksideError:
            continue
    return tuple(cards)


def card_name(trial: Trial) -> str:
    return trial.stock if trial.side == "front" else f"{trial.stock} ({trial.side} side)"


def comparable(readings: Sequence[Reading]) -> bool:
    """Whether all were read alike, so that a ranking of them means something."""
    return len({reading.uncertainty.comparable_with for reading in readings}) <= 1
