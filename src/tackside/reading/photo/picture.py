"""Opening a photograph: as any scan, then turned as its Exif says it is to be held."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pyvips

from tackside.files.image import image_in
from tackside.files.outside import SCAN, is_heic
from tackside.reading.scan.image_file import Pixels, ScanImage, open_scan


def open_photo(path: Path) -> ScanImage:
    """The picture as it is to be looked at. Raises BadImage, BadScan."""
    scan = open_scan(path)
    return replace(scan, pixels=upright(scan.pixels, orientation(path)))


def orientation(path: Path) -> int:
    """Exif's orientation (CIPA DC-008, tag 274), 1 to 8; 1 where it says none, and for a HEIC, turned when opened."""
    if is_heic(path):
        return 1
    try:
        header = image_in(path, SCAN, access="sequential")
        said = header.get("orientation") if "orientation" in header.get_fields() else 1
    except pyvips.Error:
        return 1
    return int(said) if isinstance(said, int) and 1 <= said <= 8 else 1


def upright(pixels: Pixels, said: int) -> Pixels:
    """Pixels (h, w, 3) turned and flipped from how they are stored to how they are to be seen.

    The value names where row 0 and column 0 belong (CIPA DC-008, tag 274): 6 is "right, top", a quarter clockwise.
    """
    seen = pixels.swapaxes(0, 1) if said >= 5 else pixels
    down = -1 if said in (3, 4, 7, 8) else 1
    across = -1 if said in (2, 3, 6, 7) else 1
    turned: Pixels = seen[::down, ::across].copy()  # in one block, which libvips and OpenCV ask for
    return turned
