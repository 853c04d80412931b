"""The virtual scanner at work: printed sheets on a bed become a file's numbers, with the truth kept beside
them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from tackside.errors import BadRequest
from tackside.press.printer.halftone import Floats
from tackside.press.printer.printing import Print
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.sweep import SheetTruth, sweep
from tackside.units import MM_PER_INCH

_GAP_MM = 8.0


@dataclass(frozen=True)
class OnBed:
    """Where a sheet lies: top left corner of the box around it, mm on the bed, and its own further turn."""

    x_mm: float
    y_mm: float
    further_turn_deg: float = 0.0


@dataclass(frozen=True, eq=False)
class Scan:
    """``image`` (h, w, 3) uint8 or uint16 RGB, ``ppi``, the ICC profile to embed, and the truth by sheet."""

    image: NDArray[np.uint8] | NDArray[np.uint16]
    ppi: float
    profile: bytes | None
    scanner: ScannerModel
    truth: tuple[SheetTruth, ...]


def scan(
    prints: Print | Sequence[Print], scanner: ScannerModel, layout: Sequence[OnBed] | None = None
) -> Scan:
    """Scan one or several printed sheets; without a ``layout`` they lie side by side."""
    sheets = (prints,) if isinstance(prints, Print) else tuple(prints)
    if layout is None:
        layout = side_by_side(sheets, scanner)
    if not sheets or len(layout) != len(sheets):
        raise BadRequest("press.places", sheets=len(sheets), places=len(layout))
    to_bed = [_sheet_to_bed(sheet, scanner, place) for sheet, place in zip(sheets, layout, strict=True)]
    per_mm = scanner.ppi / MM_PER_INCH
    truth = tuple(
        SheetTruth(sheet, to_file * per_mm, _then(sheet.asked_to_printed, to_file * per_mm))
        for sheet, to_file in zip(sheets, (_bed_to_file(one, scanner) for one in to_bed), strict=True)
    )
    image = sweep(truth, _file_shape(sheets, to_bed, scanner), scanner)
    return Scan(image, scanner.ppi, scanner.profile, scanner, truth)


def side_by_side(prints: Sequence[Print], scanner: ScannerModel) -> tuple[OnBed, ...]:
    """Places in one row along the top of the bed, a gap between them."""
    places, x = [], scanner.margin_mm
    for sheet in prints:
        places.append(OnBed(x, scanner.margin_mm))
        x += _box_around(sheet, scanner, 0.0)[0] + _GAP_MM
    return tuple(places)


def _angle(scanner: ScannerModel, further_deg: float) -> float:
    return radians(scanner.turn + scanner.tilt_deg + further_deg)


def _box_around(sheet: Print, scanner: ScannerModel, further_deg: float) -> tuple[float, float]:
    c, s = abs(cos(_angle(scanner, further_deg))), abs(sin(_angle(scanner, further_deg)))
    width, height = sheet.size_mm
    return width * c + height * s, width * s + height * c


def _sheet_to_bed(sheet: Print, scanner: ScannerModel, place: OnBed) -> Floats:
    """The (2, 3) map from mm on the sheet to mm on the bed: a turn about the sheet's middle."""
    angle = _angle(scanner, place.further_turn_deg)
    turned = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    box = _box_around(sheet, scanner, place.further_turn_deg)
    middle = np.array([place.x_mm + box[0] / 2, place.y_mm + box[1] / 2])
    return np.column_stack([turned, middle - turned @ (np.array(sheet.size_mm) / 2)])


def _bed_to_file(to_bed: Floats, scanner: ScannerModel) -> Floats:
    """The same map, carried on to mm in the file: cropped, and with the scanner's own error of scale."""
    left, top = scanner.crop_mm[:2]
    scale = np.array([[scanner.scale_x], [scanner.scale_y]])
    return np.asarray((to_bed - np.array([[0.0, 0.0, left], [0.0, 0.0, top]])) * scale)


def _then(first: Floats, second: Floats) -> Floats:
    """The (2, 3) map that does ``first``, then ``second``."""
    return np.asarray(second @ np.vstack([first, [0.0, 0.0, 1.0]]))


def _file_shape(sheets: Sequence[Print], maps: Sequence[Floats], scanner: ScannerModel) -> tuple[int, int]:
    if scanner.bed_mm is not None:
        width, height = scanner.bed_mm
    else:
        corners = np.concatenate(
            [_corners(sheet, to_bed) for sheet, to_bed in zip(sheets, maps, strict=True)]
        )
        width, height = (float(side) + scanner.margin_mm for side in corners.max(axis=0))
    left, top, right, bottom = scanner.crop_mm
    per_mm = scanner.ppi / MM_PER_INCH
    columns = round((width - left - right) * scanner.scale_x * per_mm)
    rows = round((height - top - bottom) * scanner.scale_y * per_mm)
    if rows < 1 or columns < 1:
        raise BadRequest("press.cropped-away")
    return rows, columns


def _corners(sheet: Print, to_bed: Floats) -> Floats:
    width, height = sheet.size_mm
    corners = np.array([[0.0, 0.0, 1.0], [width, 0.0, 1.0], [width, height, 1.0], [0.0, height, 1.0]])
    return np.asarray(corners @ to_bed.T)
