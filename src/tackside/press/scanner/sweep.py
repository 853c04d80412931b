"""The scanner's sweep: light from sheets and lid on the sensor, a band of rows at a time, then numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import WHITE_D50
from tackside.press import kernels
from tackside.press.printer.halftone import Floats
from tackside.press.printer.printing import Pixels, Print, mm_map_to_px
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.units import MM_PER_INCH

_SHADOW_MM = 0.35
_BAND_ROWS = 512
# Beyond so many standard deviations a Gaussian is left out.
_REACH = 4.0


@dataclass(frozen=True, eq=False)
class SheetTruth:
    """Where one sheet lies in the file. Pixel coordinates count from the file's top left corner, so that
    the centre of pixel (row i, column j) is (j + ½, i + ½).

    ``sheet_to_px``: (2, 3), from mm on the sheet of card; ``asked_to_px``: from mm asked for, the print's
    placement included.
    """

    printed: Print
    sheet_to_px: Floats
    asked_to_px: Floats


@dataclass(frozen=True, eq=False)
class _Lying:
    """A sheet ready to be swept: its raster, the map from its indices to the file's, its corners in px."""

    raster: Pixels
    to_index: Floats
    corners: Floats


def sweep(
    truth: Sequence[SheetTruth], shape: tuple[int, int], scanner: ScannerModel
) -> NDArray[np.uint8] | NDArray[np.uint16]:
    """The file's numbers, (rows, columns, 3), for sheets that lie as ``truth`` says."""
    rows, columns = shape
    lying = [_lie(sheet, scanner) for sheet in truth]
    rng = np.random.default_rng(scanner.seed)
    matrix = scanner.xyz_to_file.astype(np.float32)
    sigma = scanner.blur_um / 1000.0 * scanner.ppi / MM_PER_INCH
    halo = ceil(_REACH * sigma) + 1
    image = np.empty((rows, columns, 3), np.uint8 if scanner.bits == 8 else np.uint16)
    for top in range(0, rows, _BAND_ROWS):
        bottom = min(top + _BAND_ROWS, rows)
        first, last = max(top - halo, 0), min(bottom + halo, rows)
        light = _light(lying, first, (last - first, columns), scanner)
        if sigma > 0.1:
            light = np.asarray(cv2.GaussianBlur(light, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE))
        part = light[top - first : bottom - first]
        noise = rng.standard_normal(part.shape, dtype=np.float32)
        level, tone, gamma = (np.float32(value) for value in (scanner.noise, scanner.tone, scanner.gamma))
        kernels.expose(part, matrix, noise, level, tone, gamma, image[top:bottom])
    return image


def _lie(truth: SheetTruth, scanner: ScannerModel) -> _Lying:
    sheet = truth.printed
    raster, finer = sheet.xyz, sheet.ppi / scanner.ppi
    if finer > 1.2:  # a pixel sees more than one of the raster: average first (the spread of a box is 1/√12)
        sigma = sqrt((finer**2 - 1) / 12)
        raster = np.asarray(cv2.GaussianBlur(raster, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE))
    to_mm = truth.sheet_to_px * (MM_PER_INCH / scanner.ppi)
    width, height = sheet.size_mm
    corners = np.array([[0.0, 0.0, 1.0], [width, 0.0, 1.0], [width, height, 1.0], [0.0, height, 1.0]])
    to_index = mm_map_to_px(to_mm, sheet.ppi, scanner.ppi)
    return _Lying(raster, to_index, np.asarray(corners @ truth.sheet_to_px.T))


def _light(lying: Sequence[_Lying], first: int, shape: tuple[int, int], scanner: ScannerModel) -> Pixels:
    """XYZ (rows, columns, 3) on the rows from ``first`` on, before the optics blur it."""
    light: Pixels = np.empty((*shape, 3), np.float32)
    light[:] = (WHITE_D50 * scanner.lid).astype(np.float32)
    for sheet in lying:
        corners = sheet.corners - np.array([0.0, float(first)])
        reach = 4 * _SHADOW_MM * scanner.ppi / MM_PER_INCH
        if corners[:, 1].max() < -reach or corners[:, 1].min() > shape[0] + reach:
            continue
        _cast_shadow(light, corners, scanner)
        to_index = sheet.to_index - np.array([[0.0, 0.0, 0.0], [0.0, 0.0, float(first)]])
        _lay_on_bed(light, sheet.raster, to_index, corners)
    return light


def _cast_shadow(light: Pixels, corners: Floats, scanner: ScannerModel) -> None:
    """A thin shadow of the sheet on the lid, away from the lamp, which stands beyond the bed's top."""
    if scanner.shadow <= 0:
        return
    width = _SHADOW_MM * scanner.ppi / MM_PER_INCH
    outline = corners + np.array([0.3 * width, width])
    mask = np.clip((_depth_inside(outline, light.shape[:2]) + width / 2) / width, 0.0, 1.0)
    light *= 1.0 - np.float32(scanner.shadow) * mask[..., np.newaxis]


def _lay_on_bed(light: Pixels, raster: Pixels, to_index: Floats, corners: Floats) -> None:
    """Resample the sheet to the file's grid; where it covers a pixel in part, the bed shows beside it."""
    size = (light.shape[1], light.shape[0])
    inside = cv2.warpAffine(raster, to_index, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    cover = np.clip(_depth_inside(corners, light.shape[:2]) + np.float32(0.5), 0.0, 1.0)[..., np.newaxis]
    light *= 1.0 - cover
    light += cover * np.maximum(inside, 0.0)


def _depth_inside(corners: Floats, shape: tuple[int, ...]) -> Pixels:
    """Distance in px of each pixel's centre from the nearest side of a convex outline, positive inside.

    ``corners`` (4, 2) run clockwise as seen (y downwards).
    """
    columns = np.arange(shape[1], dtype=np.float32)[np.newaxis, :] + np.float32(0.5)
    rows = np.arange(shape[0], dtype=np.float32)[:, np.newaxis] + np.float32(0.5)
    depth = np.full((shape[0], shape[1]), np.float32(np.inf))
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = (end - start) / np.hypot(*(end - start))
        across = np.float32(along[0]), np.float32(along[1])
        side = (rows - np.float32(start[1])) * across[0] - (columns - np.float32(start[0])) * across[1]
        np.minimum(depth, side, out=depth)
    return depth
