"""An invented printer as a device: which colour it gives each RGB number on a card, ink held back or missing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.spatial.distance import cdist

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.press.printer.driver import inks_on_stock, rgb_to_inks
from tackside.press.printer.printer_model import Ink, PrinterModel
from tackside.press.printer.stock_model import StockModel
from training.teacher.dyes import DyePress, Face
from training.teacher.plain import PlainFace, PlainPress

# Where a card's own smooth way with tints is set, in the cube of numbers, and how far each such place reaches.
CENTRES = np.random.default_rng(5).random((24, 3))
_REACH = 0.35
CardWay = Floats
Press = DyePress | PlainPress


@dataclass(frozen=True, eq=False)
class Card:
    """A card as this press prints it: its stock, ``way`` (24, 3), in which its tints differ from the press's, and its
    ``face`` where the press knows no dots."""

    stock: StockModel
    way: CardWay
    face: Face | PlainFace | None = None


@dataclass(frozen=True, eq=False)
class Device:
    """``power`` (3,), ``mix`` (3, 3): from a number sent to the number that the press is given; so greys of equal
    numbers need not be neutral, nor evenly spaced, as long as nobody manages colour. ``press``: the press where it
    knows no dots, else it is ``printer`` that lays them."""

    printer: PrinterModel
    power: Floats
    mix: Floats
    press: Press | None = None

    def native(self, numbers: Floats) -> Floats:
        """Numbers (..., 3) as the printer's own curves take them."""
        return np.clip(np.clip(numbers, 0.0, 1.0) ** self.power @ self.mix.T, 0.0, 1.0)

    def lab(
        self,
        numbers: Floats,
        card: Card,
        *,
        ink: float = 1.0,
        missing: tuple[Ink, ...] = (),
    ) -> Floats:
        """CIELAB (n, 3) of numbers (n, 3) sent to the device."""
        sent = self.native(numbers)
        if isinstance(self.press, DyePress) and isinstance(card.face, Face):  # noqa: SIM114 (each with its own kind)
            lab = self.press.lab(sent, card.face, ink, missing)
        elif isinstance(self.press, PlainPress) and isinstance(card.face, PlainFace):
            lab = self.press.lab(sent, card.face, ink, missing)
        else:
            laid = rgb_to_inks(sent, card.stock, replace(self.printer, ink=ink, missing=missing))
            lab = xyz_to_lab(inks_on_stock(laid, card.stock))
        return drawn_its_own_way(lab, sent, card.way)


def drawn_its_own_way(lab: Floats, numbers: Floats, way: CardWay) -> Floats:
    """The colours (n, 3) with a smooth difference, none of it at paper and black, that goes with the numbers."""
    bumps = np.exp(-0.5 * cdist(numbers, CENTRES, "sqeuclidean") / _REACH**2)
    middle = numbers.mean(axis=1)
    ends = np.maximum(4.0 * middle * (1.0 - middle), 0.0)
    moved = lab + np.sqrt(ends)[:, None] * (bumps @ way)
    moved[:, 0] = np.clip(moved[:, 0], 1.0, 99.5)
    return np.asarray(moved)


def own_way(amount: float, rng: np.random.Generator) -> CardWay:
    """A way with tints of about ``amount`` ΔE*ab."""
    return np.asarray(amount * rng.standard_normal((len(CENTRES), 3)) * np.array([0.5, 0.8, 0.8]) / 2.2)


def device(printer: PrinterModel, press: Press | None, rng: np.random.Generator) -> Device:
    """A device whose bare numbers print darker or lighter, and with a cast, by chance."""
    power = np.exp(rng.normal(0.05, 0.35) + rng.normal(0.0, 0.13, 3))
    mix = np.eye(3) + rng.uniform(0.0, 0.08, (3, 3)) * (1.0 - np.eye(3))
    return Device(printer, power, mix / mix.sum(axis=1, keepdims=True), press)


@lru_cache(maxsize=1)
def nodes(count: int = 15) -> Floats:
    """All numbers (count³, 3) of an even lattice."""
    level = np.linspace(0.0, 1.0, count)
    return np.stack(np.meshgrid(level, level, level, indexing="ij"), axis=-1).reshape(-1, 3)


def relative(lab: Floats, paper: Floats) -> Floats:
    """CIELAB (..., 3) beside ``paper`` (3,) CIELAB: media-relative, by scaling XYZ (ISO 15076-1, 6.3.2)."""
    white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
    return np.asarray(xyz_to_lab(lab_to_xyz(lab) * (white / lab_to_xyz(paper))))
