"""What the virtual press makes of lines and edges, by formula: the truth that attributes are held against.

An edge of the press is a step that has crept by the stock's spread and is blurred by a Gaussian; on paper its
contours and its response follow from the normal distribution alone. Rasters add their pixels' box.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.stats import norm

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import bleed_of, spread_of
from tackside.press.printer.stock_model import StockModel
from tackside.press.printer.wet import FINGER_MM, UNEVEN, wetness
from tackside.units import MM_PER_INCH


@dataclass(frozen=True)
class LineTruth:
    """A printed black line, µm: its width at R60 and between the halves, and the distance from 10 to 90 %."""

    width_r60: float
    width_r50: float
    blurriness: float


def printed_line(width_mm: float, stock: StockModel, printer: PrinterModel) -> LineTruth:
    """The line that ``width_mm`` (asked for, along the sheet's width) becomes; wide against its blur.

    R60 of a Gaussian edge of σ lies 0.2533 σ inside the half on each side (ISO/IEC 24790: R60 = Rmax − 0.6
    (Rmax − Rmin)).
    """
    half = 1000 * width_mm * printer.scale_x + 2 * spread_of(stock, printer)
    sigma = stock.feather_um
    return LineTruth(
        width_r60=half - 2 * float(norm.ppf(0.6)) * sigma,
        width_r50=half,
        blurriness=float(norm.ppf(0.9) - norm.ppf(0.1)) * sigma,
    )


def half_response(
    stock: StockModel, *, scanner_blur_um: float = 0.0, boxes_ppi: tuple[float, ...] = ()
) -> float:
    """Frequency (cycles/mm) at which a printed edge's response is one half: Gaussians times the pixels' boxes.

    ``scanner_blur_um``: the optics' standard deviation, 0 for the print alone. ``boxes_ppi``: rasters whose pixels
    average over their own width.
    """
    variance = (stock.feather_um**2 + scanner_blur_um**2) / 1e6
    pitches = [MM_PER_INCH / ppi for ppi in boxes_ppi]

    def over(cycles: float) -> float:
        response = float(np.exp(-2 * (np.pi * cycles) ** 2 * variance))
        return response * float(np.prod([np.sinc(cycles * pitch) for pitch in pitches])) - 0.5

    highest = 0.99 / max(pitches) if pitches else 200.0
    return float(brentq(over, 1e-6, highest))


def grown_on_field(field: tuple[float, float, float], stock: StockModel, printer: PrinterModel) -> float:
    """How much wider, µm, a dark line is on a solid of ``field`` (RGB, 0 to 1) than on bare card: two edges' bleed."""
    return 2 * bleed_of(stock, printer) * float(wetness([field], stock, printer)[0])


def ragged_on_field(
    field: tuple[float, float, float], stock: StockModel, printer: PrinterModel, scanner_blur_um: float = 0.0
) -> float:
    """Standard deviation, µm, of such an edge about its line.

    Fingers are noise smoothed by a Gaussian of σ; a blur of g along the edge leaves σ / √(σ² + g²) of their variance.
    """
    sigma = 1000 * FINGER_MM / 2
    blurred = np.hypot(sigma, np.hypot(stock.feather_um, scanner_blur_um))
    return float(UNEVEN * grown_on_field(field, stock, printer) / 2 * np.sqrt(sigma / blurred))
