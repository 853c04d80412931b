"""The cards on the bench that were printed and read, as devices: the newest reading of each side of each stock."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.errors import NotFound, TacksideError
from tackside.picture.read_cards import card_name, newest_readings
from tackside.picture.tested_cards import ReadCard
from tackside.profile.device_model import DeviceModel


def tested_cards() -> tuple[ReadCard, ...]:
    """All cards that were read; none where there is no bench. A reading that no device can be made of is left out."""
    try:
        bench = Bench.open(bench_folder(), create=False)
    except NotFound:
        return ()
    cards = []
    for trial, reading in newest_readings(bench):
        try:
            cards.append(ReadCard(card_name(trial), DeviceModel.fitted(reading)))
        except TacksideError:
            continue
    return tuple(cards)
