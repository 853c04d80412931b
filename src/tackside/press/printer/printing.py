"""The virtual press: an RGB image becomes ink on a sheet of card, in XYZ."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import xyz_to_lab
from tackside.errors import BadRequest
from tackside.press import kernels
from tackside.press.printer.colour_table import colour_table, look_up
from tackside.press.printer.halftone import Floats
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.press.printer.surface import banding_field, grain_field, mottle_field
from tackside.press.printer.wet import bleed, wet_fields
from tackside.records import Placement
from tackside.units import MM_PER_INCH

Pixels = NDArray[np.float32]

# How much further ink creeps for each share laid too much, and how much blotchier it lies. Invented.
_CREEP_OF_SURPLUS = 2.5
_BLOTCH_OF_SURPLUS = 3.0


@dataclass(frozen=True, eq=False)
class Print:
    """A printed sheet. ``xyz`` (h, w, 3) float32, D50, Y = 1 for the perfect diffuser, ``ppi`` pixels an
    inch.

    The raster begins at the sheet's top left corner; pixel (i, j) is centred at (j + ½, i + ½) · 25.4 / ppi
    mm.
    """

    xyz: Pixels
    ppi: float
    size_mm: tuple[float, float]
    stock: StockModel
    printer: PrinterModel

    @property
    def placement(self) -> Placement:
        """The truth about where the print fell."""
        return self.printer.placement(self.size_mm)

    @property
    def asked_to_printed(self) -> Floats:
        """The (2, 3) map from mm asked for to mm on the sheet."""
        return self.printer.asked_to_printed(self.size_mm)

    def xyz_of(self, rgb: ArrayLike) -> Floats:
        """XYZ (n, 3) laid down for flat areas of ``rgb`` (n, 3), 0 to 1."""
        return look_up(
            colour_table(self.stock, self.printer), np.atleast_2d(np.asarray(rgb, dtype=np.float64))
        )

    def lab_of(self, rgb: ArrayLike) -> Floats:
        """The same as CIELAB D50 (n, 3): the truth that a reading is held against."""
        return xyz_to_lab(self.xyz_of(rgb))


def print_sheet(
    image: NDArray[np.uint8],
    ppi: float,
    stock: StockModel,
    printer: PrinterModel,
    *,
    sheet_size_mm: tuple[float, float] | None = None,
    at_ppi: float | None = None,
) -> Print:
    """Print ``image`` (h, w, 3) uint8 RGB at ``ppi`` on a sheet of ``stock``.

    ``sheet_size_mm`` is [width, height] as fed; None takes the image's own size. ``at_ppi`` is the finest
    raster that is kept, by default 300; give at least the ppi of the scan to come. It becomes ``ppi`` over
    a whole number. Raises ``BadRequest`` for an image that is not 8-bit RGB.
    """
    if image.ndim != 3 or image.shape[2] != 3 or image.dtype != np.uint8 or 0 in image.shape:
        raise BadRequest("press.not-rgb")
    if sheet_size_mm is None:
        sheet_size_mm = (image.shape[1] * MM_PER_INCH / ppi, image.shape[0] * MM_PER_INCH / ppi)
    shrink = max(1, int(ppi / (at_ppi or 300.0) + 1e-6))
    surplus = max(0.0, printer.ink - 1.0)
    spread_um = spread_of(stock, printer)

    laid = _lay_down(image, ppi, shrink, spread_um, colour_table(stock, printer))
    work_ppi = ppi / shrink
    if stock.bleed_um > 0:
        wet = wet_fields(image, shrink, stock, printer)
        laid = bleed(laid, wet, bleed_of(stock, printer), work_ppi, stock.seed)
    if printer.misalignment_mm:
        laid = _misalign(laid, printer.misalignment_mm * work_ppi / MM_PER_INCH)
    _feather(laid, stock.feather_um / 1000.0 * work_ppi / MM_PER_INCH)
    placed = _place(laid, work_ppi, sheet_size_mm, stock, printer)
    del laid  # at 600 ppi each raster of an A4 sheet takes 0.4 GB
    uneven = 1.0 + _BLOTCH_OF_SURPLUS * surplus
    _blotch(placed, work_ppi, stock, stock.mottle * uneven, stock.grain, printer)
    return Print(placed, work_ppi, sheet_size_mm, stock, printer)


def spread_of(stock: StockModel, printer: PrinterModel) -> float:
    """How far ink creeps beyond each edge, µm: the stock's spread, more where too much ink is laid."""
    return stock.spread_um * (1.0 + _CREEP_OF_SURPLUS * max(0.0, printer.ink - 1.0))


def bleed_of(stock: StockModel, printer: PrinterModel) -> float:
    """How much further ink creeps into a wholly wet field, µm an edge, likewise more with too much ink."""
    return stock.bleed_um * (1.0 + _CREEP_OF_SURPLUS * max(0.0, printer.ink - 1.0))


def _lay_down(
    image: NDArray[np.uint8], ppi: float, shrink: int, spread_um: float, table: NDArray[np.float32]
) -> Pixels:
    """Ink creeps by at most a pixel on the image's own grid; the rest follows on the coarser one."""
    spread = spread_um / 1000.0 * ppi / MM_PER_INCH
    first = min(spread, 1.0)
    laid = np.empty((ceil(image.shape[0] / shrink), ceil(image.shape[1] / shrink), 3), np.float32)
    kernels.lay_down(np.ascontiguousarray(image), table, np.float32(first), shrink, laid)
    rest = (spread - first) / shrink
    while rest > 1e-6:
        step = min(rest, 1.0)
        further = np.empty_like(laid)
        kernels.creep(laid, np.float32(step), further)
        laid, rest = further, rest - step
    return laid


def _misalign(xyz: Pixels, shift_px: float) -> Pixels:
    """Half of the ink lies ``shift_px`` to the right of the other half: doubled verticals."""
    height, width = xyz.shape[:2]
    left, right = (
        cv2.warpAffine(
            xyz,
            np.array([[1.0, 0.0, shift], [0.0, 1.0, 0.0]]),
            (width, height),
            flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        for shift in (-shift_px / 2, shift_px / 2)
    )
    return np.asarray((left + right) / 2, dtype=np.float32)


def _feather(xyz: Pixels, sigma_px: float) -> None:
    """Blur in place."""
    if sigma_px >= 0.1:
        cv2.GaussianBlur(xyz, (0, 0), sigma_px, dst=xyz, borderType=cv2.BORDER_REPLICATE)


def _place(
    laid: Pixels, ppi: float, size_mm: tuple[float, float], stock: StockModel, printer: PrinterModel
) -> Pixels:
    """The ink where it falls on the sheet; bare paper around it and where the head can't reach."""
    width, height = (max(1, round(side * ppi / MM_PER_INCH)) for side in size_mm)
    paper = stock.paper_xyz
    placed: Pixels = np.asarray(
        cv2.warpAffine(
            laid,
            mm_map_to_px(printer.asked_to_printed(size_mm), ppi, ppi),
            (width, height),
            flags=cv2.INTER_CUBIC,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=tuple(float(band) for band in paper),
        )
    )
    # Cubic interpolation overshoots at edges; nothing is darker than no light or lighter than paper.
    np.clip(placed, 0.0, paper.astype(np.float32), out=placed)
    margins = printer.margins_mm
    left, top = (round(margin * ppi / MM_PER_INCH) for margin in (margins.left, margins.top))
    right, bottom = (round(margin * ppi / MM_PER_INCH) for margin in (margins.right, margins.bottom))
    placed[:top] = paper
    placed[height - bottom :] = paper
    placed[:, :left] = paper
    placed[:, width - right :] = paper
    return placed


def _blotch(
    xyz: Pixels, ppi: float, stock: StockModel, mottle: float, grain: float, printer: PrinterModel
) -> None:
    """Make the ink uneven, in place."""
    rng = np.random.default_rng(stock.seed)
    shape = xyz.shape[:2]
    slow = mottle_field(shape, ppi, mottle, rng)
    if printer.banding_period_mm > 0:
        slow += banding_field(
            shape, ppi, printer.banding_period_mm, printer.banding_lightness, printer.banding_axis == "feed"
        )
    kernels.blotch(
        xyz,
        slow,
        grain_field(shape, ppi, grain, rng),
        np.float32(stock.paper_xyz[1]),
        xyz,
    )


def mm_map_to_px(map_mm: Floats, from_ppi: float, to_ppi: float) -> Floats:
    """A (2, 3) map between mm as one between pixel indices, where index 0 is centred half a pixel inside."""
    pitch = MM_PER_INCH / from_ppi
    into_mm = np.array([[pitch, 0.0, pitch / 2], [0.0, pitch, pitch / 2], [0.0, 0.0, 1.0]])
    to_px = np.asarray(map_mm, dtype=np.float64) @ into_mm * (to_ppi / MM_PER_INCH)
    to_px[:, 2] -= 0.5
    return np.asarray(to_px)
