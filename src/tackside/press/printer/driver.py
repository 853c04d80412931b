"""The virtual driver: RGB numbers to tones of cyan, magenta, yellow and black.

Numbers are read in the driver's space and brought to sRGB; colours outside are clipped. Each of R, G and B
then goes through a grey curve, made so that greys come out neutral and evenly spaced in L* on the stock
that the media setting was made for. Black replaces part of the grey component ("grey component
replacement", J. A. C. Yule, Principles of Color Reproduction, 1967).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial

import numpy as np
from numpy.typing import ArrayLike
from scipy.interpolate import PchipInterpolator

from tackside.colour.spaces import RGB_SPACES, SRGB, rgb_to_lab, rgb_to_xyz_d50, xyz_d50_to_rgb, xyz_to_lab
from tackside.press.printer.halftone import Floats, effective_tone, yule_nielsen_neugebauer
from tackside.press.printer.printer_model import INKS, PrinterModel
from tackside.press.printer.stock_model import StockModel, matt_coated

_NODES = 33

Curve = Callable[[Floats], Floats]


def inks_on_stock(cmyk: ArrayLike, stock: StockModel) -> Floats:
    """XYZ (..., 3) of the tones ``cmyk`` (..., 4) asked for, 0 to 1, as the stock holds them."""
    tones = effective_tone(cmyk, stock.tone_increase)
    return yule_nielsen_neugebauer(tones, stock.overprints_xyz, stock.n)


def rgb_to_xyz(rgb: ArrayLike, stock: StockModel, printer: PrinterModel) -> Floats:
    """XYZ (..., 3), Y = 1 for the perfect diffuser, of flat ``rgb`` (..., 3), 0 to 1: the exact model."""
    return inks_on_stock(rgb_to_inks(rgb, stock, printer), stock)


def rgb_to_inks(rgb: ArrayLike, stock: StockModel, printer: PrinterModel) -> Floats:
    """Tones laid, (..., 4) c, m, y, k, 0 to 1, for ``rgb`` (..., 3), 0 to 1."""
    numbers = np.clip(np.asarray(rgb, dtype=np.float64), 0.0, 1.0)
    if printer.reads_as != SRGB.name:
        read = rgb_to_xyz_d50(numbers, RGB_SPACES[printer.reads_as])
        numbers = np.clip(xyz_d50_to_rgb(read, SRGB), 0.0, 1.0)
    curves = grey_curves(media_of(stock, printer), printer.lead, printer.removed)
    depth = 1.0 - numbers
    grey = np.min(depth, axis=-1)
    for _ in range({"nobody": 0, "once": 1, "twice": 2}[printer.managed]):
        grey = np.min(depth, axis=-1)
        depth = np.stack([curves[i](depth[..., i]) for i in range(3)], axis=-1)
    laid = np.minimum(_separate(depth, curves[3](grey), printer.removed) * printer.ink, 1.0)
    for ink in printer.missing:
        laid[..., INKS.index(ink)] = 0.0
    return laid


def media_of(stock: StockModel, printer: PrinterModel) -> StockModel:
    """The stock that the driver's setting was made for."""
    if printer.media is not None:
        return printer.media
    return stock if stock.takes_ink else matt_coated()


@lru_cache(maxsize=32)
def grey_curves(
    media: StockModel, lead: float, removed: tuple[float, float, float]
) -> tuple[Curve, Curve, Curve, Curve]:
    """Curves of depth (1 − number, 0 to 1) for C, M, Y, K that make greys neutral and even on ``media``.

    ``lead`` and ``removed`` are the printer's (see ``PrinterModel``).
    """
    level = np.linspace(0.0, 1.0, _NODES)
    tones = np.column_stack([level, level, level**4])  # M, Y and K; cyan leads
    cyan = partial(_leading, lead=lead)
    aim = _grey_aim(level, media, removed)

    def miss(trial: Floats) -> Floats:
        depth = np.column_stack([cyan(level), trial[:, :2]])
        return np.asarray(aim - xyz_to_lab(inks_on_stock(_separate(depth, trial[:, 2], removed), media)))

    damping, step = 0.5, 1e-4
    for _ in range(80):  # Levenberg–Marquardt, each level for itself
        gap = miss(tones)
        slopes = np.stack([(gap - miss(tones + step * axis)) / step for axis in np.eye(3)], axis=-1)
        turned = np.swapaxes(slopes, 1, 2)
        change = np.linalg.solve(turned @ slopes + damping * np.eye(3), turned @ gap[..., np.newaxis])
        tones = np.clip(tones + change[..., 0], 0.0, 1.0)
    tones[0], tones[-1] = 0.0, 1.0
    tones = np.maximum.accumulate(tones, axis=0)
    magenta, yellow, black = (PchipInterpolator(level, tones[:, i]) for i in range(3))
    return cyan, magenta, yellow, black


def _leading(depth: Floats, lead: float) -> Floats:
    return np.asarray(lead * depth + (1.0 - lead) * depth**4)


def _grey_aim(level: Floats, media: StockModel, removed: tuple[float, float, float]) -> Floats:
    """Lab wanted for greys of depth ``level`` (n,): even L* and tint from paper to black."""
    white_and_black = _separate(np.array([[0.0] * 3, [1.0] * 3]), np.array([0.0, 1.0]), removed)
    ends = xyz_to_lab(inks_on_stock(white_and_black, media))
    lightness = rgb_to_lab(np.repeat(1.0 - level[:, np.newaxis], 3, axis=1), SRGB)[:, :1] / 100.0
    return np.asarray(ends[1] + lightness * (ends[0] - ends[1]))


def _separate(depth: Floats, black: Floats, removed: tuple[float, float, float]) -> Floats:
    """Tones c, m, y, k (..., 4) for depths of C, M, Y (..., 3) and the tone of black (...), all 0 to 1."""
    left = 1.0 - np.array(removed) * black[..., np.newaxis]
    return np.concatenate([depth * left, black[..., np.newaxis]], axis=-1)
