"""What all looks at a scan share: flat areas of patches and a thin sample of the whole sheet, in the file's numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import INNER
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.reading.scan.marks.sheets import FoundSheet
from tackside.records import Patch

Bytes = NDArray[np.float32]
# (left, top, right, bottom) in pixels of the scan.
Part = tuple[int, int, int, int]
MOST_FLATS, MOST_SIDE_PX, LEAST_SIDE_PX = 48, 64, 14
# So many pixels tell the form of a histogram of 256 levels: some 2,000 a level.
THIN_PIXELS = 500_000


@dataclass(frozen=True, eq=False)
class Flat:
    """The middle of one patch: ``numbers`` (rows, columns, 3), 0 to 255 (16 bits keep their fractions)."""

    patch: Patch
    part: Part
    numbers: Bytes


@dataclass(frozen=True, eq=False)
class ScanSamples:
    """``flats`` of patches; ``thin`` (rows, columns, 3): some rows of the sheet, as the file has them; ``sheet_part``:
    the part of the scan that the sheet fills.
    """

    scan: ScanImage
    sheet: FoundSheet
    flats: tuple[Flat, ...]
    thin: Pixels
    sheet_part: Part


def take_samples(scan: ScanImage, sheet: FoundSheet, patches: Sequence[Patch]) -> ScanSamples:
    """``patches``: those that the scan shows the whole of."""
    part = sheet_part(scan, sheet)
    return ScanSamples(scan, sheet, _flats(scan, sheet, patches), _thin(scan, part), part)


def as_bytes(pixels: Pixels) -> Bytes:
    """Numbers on the scale of 8 bits, 0 to 255, whatever the depth."""
    return np.asarray(pixels, dtype=np.float32) / np.float32(257.0 if pixels.itemsize == 2 else 1.0)


def sheet_part(scan: ScanImage, sheet: FoundSheet) -> Part:
    """The box around the marks in the scan, px: card and print, and nothing of the lid."""
    corners = np.concatenate([seen.corners for _, seen in sheet.marks])
    height, width = scan.pixels.shape[:2]
    left, top = np.clip(np.floor(corners.min(axis=0)).astype(int), 0, (width - 1, height - 1)).tolist()
    right, bottom = np.clip(
        np.ceil(corners.max(axis=0)).astype(int), (left + 1, top + 1), (width, height)
    ).tolist()
    return left, top, right, bottom


def cut(scan: ScanImage, part: Part) -> Pixels:
    left, top, right, bottom = part
    return scan.pixels[top:bottom, left:right]


def luma(numbers: Floats | Bytes) -> Bytes:
    """Luma (...) of R'G'B' (..., 3), as JFIF and ITU-R BT.601 weigh it."""
    return np.asarray(numbers @ np.array([0.299, 0.587, 0.114], np.float32), np.float32)


def _flats(scan: ScanImage, sheet: FoundSheet, patches: Sequence[Patch]) -> tuple[Flat, ...]:
    found = []
    for number in np.unique(np.linspace(0, len(patches) - 1, MOST_FLATS).astype(int)) if patches else ():
        patch = patches[int(number)]
        # Half the diagonal of a patch that lies askew still fits into its inner part.
        reach = INNER / 2 * min(patch.box_mm.w, patch.box_mm.h) * sheet.map.px_per_mm
        half = int(min(reach, MOST_SIDE_PX / 2))
        if 2 * half < LEAST_SIDE_PX:
            continue
        x, y = (int(each) for each in sheet.map.to_px(patch.box_mm.centre))
        part = (max(x - half, 0), max(y - half, 0), x + half, y + half)
        found.append(Flat(patch, part, as_bytes(cut(scan, part))))
    return tuple(found)


def _thin(scan: ScanImage, part: Part) -> Pixels:
    shown = cut(scan, part)
    step = max(round(shown.shape[0] * shown.shape[1] / THIN_PIXELS), 1)
    return shown[step // 2 :: step].copy()
