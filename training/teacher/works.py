"""Invented works: a printer with its inks, cards with and without a coating, profiles and a driver, all at random."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tackside.press.printer.stock_model import StockModel
from training.invented import works as invented_works
from training.stocks import varied
from training.teacher.device import CENTRES, Card, CardWay, Device, Press, device, own_way
from training.teacher.dyes import dye_press
from training.teacher.plain import plain_press
from training.teacher.rendering import Profile, driver_taste, true_taste
from training.teacher.ways import Tone, random_tone

# Shares of presses that lay dots, whose inks are filters, and that have no physics.
PRESSES = (0.4, 0.33, 0.27)


@dataclass(frozen=True, eq=False)
class Works:
    """``coated`` cards, each with its base, ``profiles`` one for each of them, ``drivers`` likewise; ``bare`` cards."""

    device: Device
    coated: tuple[tuple[Card, str], ...]
    bare: tuple[Card, ...]
    profiles: tuple[Profile, ...]
    drivers: tuple[Profile, ...]
    tone: Tone


def works(rng: np.random.Generator) -> Works:
    """A printer, its inks, its cards and the ways to print on them at random."""
    drawn = invented_works(rng)
    amount = rng.uniform(0.0, 3.0)
    shared = own_way(amount, rng)
    press: Press | None = (None, dye_press(rng), plain_press(rng))[rng.choice(3, p=PRESSES)]
    coated = tuple(
        (_card(stock, shared + own_way(0.5, rng), press, base != "photo", rng), base)
        for stock, base in drawn.coated
    )
    bare = tuple(_card(stock, shared + own_way(1.0, rng), press, None, rng) for stock in drawn.bare)
    made = device(replace(drawn.printer, media=drawn.coated[0][0]), press, rng)
    taste, liking = true_taste(rng), driver_taste(rng)
    profiles, drivers = [], []
    for card, _ in coated:
        # A profile was made of another pack, or of a card like it, some time ago.
        known = another_pack(card, float(rng.choice([0.2, 0.5, 1.0], p=[0.5, 0.35, 0.15])), rng)
        rough = rng.uniform(0.0, 0.012) * rng.standard_normal((len(CENTRES), 3))
        profiles.append(Profile(made, known, taste, rough))
        drivers.append(Profile(made, another_pack(card, 0.6, rng), liking, rough))
    return Works(made, coated, bare, tuple(profiles), tuple(drivers), random_tone(rng))


def another_pack(card: Card, amount: float, rng: np.random.Generator) -> Card:
    """``amount`` 0.2 for another pack of the same card, 1 for another product like it."""
    face = None if card.face is None else card.face.varied(amount, rng)
    return Card(varied(card.stock, rng, amount), card.way + own_way(0.8 * amount, rng), face)


def _card(
    stock: StockModel, way: CardWay, press: Press | None, soft: bool | None, rng: np.random.Generator
) -> Card:
    """``soft``: whether a coated face scatters light, as matt ones do; None for a bare one."""
    if press is None:
        return Card(stock, way)
    paper = np.array(stock.paper_lab)
    return Card(
        stock, way, press.bare_face(paper, rng) if soft is None else press.coated_face(paper, soft, rng)
    )
