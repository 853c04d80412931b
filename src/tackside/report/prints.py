"""Pictures of the prints themselves, from their scans: upright, cut to the sheet, all at one scale."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.errors import TacksideError
from tackside.files.image import MOST_HELD_BYTES, held_bytes
from tackside.files.outside import SCAN
from tackside.profile.link.convert_picture import image_of, thumbnail_of
from tackside.reading.scan.image_file import SNIFFED_BYTES, ScanImage, is_image, stated_ppi
from tackside.reading.scan.marks.detections import see
from tackside.reading.scan.marks.sheets import find_sheets
from tackside.records import SheetPlan
from tackside.units import MM_PER_INCH

# Pixels for each inch of the card: enough to fill a screen with it, some hundred kilobytes each.
SHOWN_PPI = 110
# A sheet is sought in the scan made this small: its marks then have some 30 pixels a side.
SOUGHT_PPI = 150
LONGEST_MM = 1000.0
Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class PrintPicture:
    """A scan made small: JPEG in sRGB, with the size of what it shows in mm."""

    jpeg: bytes
    width_mm: float
    height_mm: float


def print_picture(path: Path, sheet: SheetPlan | None = None, trial: str = "") -> PrintPicture | None:
    """The picture of a print; None where the file is no scan, or does not say its scale.

    Where the ``sheet`` of the ``trial`` is found in it by its marks, it stands upright and is cut to its edges; else
    the whole scan is shown as it lies.
    """
    try:
        small = _small(path)
        if small is None:
            return None
        pixels, width_mm, height_mm = small
        shown = None if sheet is None else _cut_to(pixels, sheet, trial)
        if shown is None:
            shown = cv2.resize(
                pixels,
                None,
                fx=SHOWN_PPI / SOUGHT_PPI,
                fy=SHOWN_PPI / SOUGHT_PPI,
                interpolation=cv2.INTER_AREA,
            ).astype(np.uint8)
        elif sheet is not None:
            width_mm, height_mm = sheet.size_mm
        height, width = shown.shape[:2]
        image = pyvips.Image.new_from_memory(np.ascontiguousarray(shown).data, width, height, 3, "uchar")
        jpeg = image.copy(interpretation="srgb").jpegsave_buffer(Q=80, keep="none", optimize_coding=True)
    except (OSError, pyvips.Error, cv2.error, TacksideError):
        return None
    return PrintPicture(bytes(jpeg), width_mm, height_mm)


def _small(path: Path) -> tuple[Pixels, float, float] | None:
    """The scan at ``SOUGHT_PPI``, (h, w, 3) in sRGB, its width and height in mm."""
    if not is_image(SCAN.head(path, SNIFFED_BYTES)):
        return None
    header = image_of(path)
    ppi = stated_ppi(header, path)
    if ppi is None or held_bytes(header) > 2 * MOST_HELD_BYTES:
        return None
    width_mm, height_mm = header.width * MM_PER_INCH / ppi, header.height * MM_PER_INCH / ppi
    if max(width_mm, height_mm) > LONGEST_MM:
        return None
    small = thumbnail_of(
        path, max(1, round(width_mm * SOUGHT_PPI / MM_PER_INCH)), height=20_000, no_rotate=True,
        export_profile="srgb", intent="relative",
    )  # fmt: skip
    whole = small.flatten(background=255) if small.hasalpha() else small
    return np.ascontiguousarray(whole.colourspace("srgb").numpy(), dtype=np.uint8), width_mm, height_mm


def _cut_to(pixels: Pixels, sheet: SheetPlan, trial: str) -> Pixels | None:
    """The sheet alone, upright, at ``SHOWN_PPI``; None where it is not found, or another trial's is."""
    scan = ScanImage("", "", pixels, SOUGHT_PPI, None, ())
    page = sheet.by_page[0]
    found = find_sheets(see(scan), page)
    ours = [each for each in found if trial in each.trials] or [each for each in found if not each.trials]
    if not ours:
        return None
    width_mm, height_mm = page.size_mm
    width, height = (round(length * SHOWN_PPI / MM_PER_INCH) for length in page.size_mm)
    corners_mm = np.array([(0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm)])
    there = (ours[0].map.to_px(corners_mm) - 0.5).astype(np.float32)
    here = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=np.float32) - np.float32(0.5)
    # Smoothed before it is made smaller: the step is a third of a pixel at most.
    soft = cv2.GaussianBlur(pixels, (0, 0), 0.5)
    cut = cv2.warpPerspective(
        soft, cv2.getPerspectiveTransform(there, here), (width, height), flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=(255, 255, 255),
    )  # fmt: skip
    return np.asarray(cut, dtype=np.uint8)
