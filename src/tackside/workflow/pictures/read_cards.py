"""The newest reading of each card on a bench, and of one trial."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.errors import BadRequest, TacksideError
from tackside.picture.found_reading import FoundReading, card_name, found_from
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


def reading_of(bench: Bench, name: str) -> FoundReading:
    """The newest reading of a trial. Raises NotFound, BadRequest for answers by eye."""
    trial = bench.trials.get(name)
    reading = bench.readings.latest(trial.id)
    if reading.kind == "eye":
        raise BadRequest("bench.reading-by-eye", trial=trial.id)
    return found_from(trial, reading)
