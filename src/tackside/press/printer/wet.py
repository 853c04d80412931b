"""Ink on wet ink: where a line meets a field that is still wet, it creeps further than on bare card.

How far is the stock's own (``StockModel.bleed_um``) and grows with the ink that stands in the field; along the edge it
is uneven, for ink runs in fingers. All figures are invented.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.press import kernels
from tackside.press.printer.driver import rgb_to_inks
from tackside.press.printer.halftone import Floats
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.units import MM_PER_INCH

Pixels = NDArray[np.float32]

# How unevenly ink runs along an edge: standard deviation as a share of the way, and the fingers' size. Invented.
UNEVEN, FINGER_MM = 0.35, 0.12
_TILE_PX = 512
_LEVELS = 32  # of each of R, G and B, enough to tell a tint from a solid


def wetness(rgb: ArrayLike, stock: StockModel, printer: PrinterModel) -> Floats:
    """How wet fields of ``rgb`` (n, 3), 0 to 1, are when their neighbour is laid: the tones together, at most 1."""
    return np.asarray(np.minimum(rgb_to_inks(rgb, stock, printer).sum(axis=-1), 1.0))


def wet_fields(
    image: NDArray[np.uint8], shrink: int, stock: StockModel, printer: PrinterModel
) -> NDArray[np.uint8]:
    """The wetness of the field around each pixel of the shrunk ``image`` (h, w, 3), 255 for wholly wet.

    A line on bare card, or the grey dot at its edge, is not a wet field: the driest neighbour counts.
    """
    out = np.empty((ceil(image.shape[0] / shrink), ceil(image.shape[1] / shrink)), np.uint8)
    kernels.wet_fields(np.ascontiguousarray(image), _wetness_table(stock, printer.colour_part()), shrink, out)
    return out


def bleed(laid: Pixels, wet: NDArray[np.uint8], way_um: float, ppi: float, seed: int) -> Pixels:
    """``laid`` (h, w, 3) with ink crept ``way_um`` further at each edge where it meets a wholly wet field."""
    way = way_um / 1000.0 * ppi / MM_PER_INCH
    if way <= 1e-6:
        return laid
    uneven = _fingers(ppi, seed)
    passes = ceil(way * float(uneven.max()))
    for _ in range(passes):
        further = np.empty_like(laid)
        kernels.creep_into_wet(laid, wet, uneven, np.float32(way / passes), further)
        laid = further
    return laid


@lru_cache(maxsize=8)
def _wetness_table(stock: StockModel, printer: PrinterModel) -> NDArray[np.uint8]:
    axis = np.linspace(0.0, 1.0, _LEVELS)
    rgb = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    shares = np.rint(255.0 * wetness(rgb, stock, printer)).astype(np.uint8)
    return np.ascontiguousarray(shares.reshape(_LEVELS, _LEVELS, _LEVELS))


@lru_cache(maxsize=8)
def _fingers(ppi: float, seed: int) -> Pixels:
    """Shares of the way, mean 1, (512, 512), that join at the edges: smooth noise, never below 0."""
    noise = np.random.default_rng(seed + 1000).standard_normal((_TILE_PX, _TILE_PX))
    cycles = np.fft.fftfreq(_TILE_PX, MM_PER_INCH / ppi)
    sigma = FINGER_MM / 2
    smooth = np.exp(-2 * (np.pi * sigma) ** 2 * (cycles[:, None] ** 2 + cycles[None, :] ** 2))
    field = np.real(np.fft.ifft2(np.fft.fft2(noise) * smooth))
    shares = np.clip(1.0 + UNEVEN * field / field.std(), 0.0, None)
    return np.asarray(shares / shares.mean(), dtype=np.float32)
