"""Look at pictures before any ink: in their place on a card, and beside the cards that were read."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.picture.check.check import PictureCheck, check_picture
from tackside.picture.check.resolution import Use
from tackside.picture.choose.cards import CardReading
from tackside.picture.choose.workshop import COMMON_SPACE
from tackside.picture.found_reading import card_name
from tackside.picture.proof.tested_cards import ReadCard
from tackside.picture.use_on_panel import use_on_panel
from tackside.workflow.pictures.read_cards import newest_readings
from tackside.workflow.pictures.work_out import CACHE
from tackside.workflow.progress import Progress, unheard

GATHERED = 0.3  # of the whole job


@dataclass(frozen=True)
class Checked:
    """What was found of each picture, held against so many ``cards``."""

    pictures: tuple[PictureCheck, ...]
    cards: int


def check_pictures(
    bench: Bench | None, pictures: Sequence[Path], use: Use | None, *, progress: Progress = unheard
) -> Checked:
    """Look at each picture, in its place where there is one, and beside all cards that were read; without a ``bench``
    beside none. A file that is no sound picture has a finding that says so; nothing is raised for it."""
    progress(0.0, Message("progress.gathering-cards"))
    cards = () if bench is None else tested_cards(bench)
    found = []
    for number, each in enumerate(pictures):
        done = GATHERED + (1 - GATHERED) * number / len(pictures)
        progress(done, Message("progress.checking-picture"))
        found.append(check_picture(each, use, cards))
    progress(1.0, Message("progress.checking-picture"))
    return Checked(tuple(found), len(cards))


def place_on_card(bench: Bench, stock: str, printer: str, panel: str, distance_cm: float) -> Use:
    """The panel of a stock in a printer as the place that a picture fills. Raises NotFound."""
    return use_on_panel(bench.stocks.get(stock), bench.printers.get(printer), panel, distance_cm)


def tested_cards(bench: Bench) -> tuple[ReadCard, ...]:
    """All cards that were read; one that no model can be made of is left out."""
    cards = []
    for trial, reading in newest_readings(bench):
        card = ReadCard(CardReading(card_name(trial), reading), bench.folder / CACHE)
        with contextlib.suppress(TacksideError):
            card.shown(COMMON_SPACE)  # which the pictures that follow ask for
            cards.append(card)
    return tuple(cards)
