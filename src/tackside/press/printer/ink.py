"""How much ink the virtual press lays down: the truth that a run's ink model is held against.

The volumes of a solid are invented; with four inks they put a photograph within the usual 9.7 to
20.5 ml/m² (docs/sources.md, S56). Ink that misses the sheet (borderless enlargement) is laid all the same;
ink that a margin keeps back is not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.press.printer.driver import rgb_to_inks
from tackside.press.printer.halftone import Floats
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.units import MM_PER_INCH

# ml/m² of a full tone of cyan, magenta, yellow, black. Invented.
SOLID_ML_M2 = np.array([11.0, 11.5, 10.0, 13.0])
_M2_PER_MM2 = 1e-6


@dataclass(frozen=True)
class LaidInk:
    """Ink laid for one sheet, in ml: each ink of ``printer_model.INKS``, in that order."""

    ml: tuple[float, float, float, float]

    @property
    def total_ml(self) -> float:
        return sum(self.ml)


def laid_ink(image: NDArray[np.uint8], ppi: float, stock: StockModel, printer: PrinterModel) -> LaidInk:
    """The ink that printing ``image`` (h, w, 3) uint8 RGB at ``ppi`` takes, margins and enlargement counted."""
    kept = _within_margins(image, ppi, printer)
    width, height = image.shape[1] * MM_PER_INCH / ppi, image.shape[0] * MM_PER_INCH / ppi
    (a, b, _), (c, d, _) = printer.asked_to_printed((width, height))
    grown = abs(a * d - b * c)
    pixel_m2 = (MM_PER_INCH / ppi) ** 2 * _M2_PER_MM2 * grown
    tones = np.zeros(4)
    for rows in np.array_split(kept, max(1, kept.shape[0] // 256)):
        tones += _tones(rows.reshape(-1, 3), stock, printer)
    ml = tones * SOLID_ML_M2 * pixel_m2
    return LaidInk((float(ml[0]), float(ml[1]), float(ml[2]), float(ml[3])))


def _within_margins(image: NDArray[np.uint8], ppi: float, printer: PrinterModel) -> NDArray[np.uint8]:
    margins = printer.margins_mm
    left, top, right, bottom = (
        round(edge * ppi / MM_PER_INCH) for edge in (margins.left, margins.top, margins.right, margins.bottom)
    )
    return image[top : image.shape[0] - bottom, left : image.shape[1] - right]


def _tones(rgb: NDArray[np.uint8], stock: StockModel, printer: PrinterModel) -> Floats:
    """The sum of the tones laid, (4,), over pixels (n, 3): exact for the colours, which are counted first."""
    if rgb.size == 0:
        return np.zeros(4)
    packed = rgb.astype(np.uint32) @ np.array([65536, 256, 1], dtype=np.uint32)
    colours, counts = np.unique(packed, return_counts=True)
    numbers = np.stack([colours >> 16, colours >> 8 & 255, colours & 255], axis=-1) / 255.0
    return np.asarray(counts @ rgb_to_inks(numbers, stock, printer))
