"""Pictures of the prints themselves, from their scans, all at one scale."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pyvips

from tackside.reading.scan.image_file import LEAST_STATED_PPI, MOST_PIXELS, is_image
from tackside.units import MM_PER_INCH

# Pixels for each inch of the card: enough for a look at a quarter of its size, a few ten kilobytes each.
SHOWN_PPI = 72
LONGEST_MM = 1000.0


@dataclass(frozen=True)
class PrintPicture:
    """A scan made small: JPEG in sRGB, with the size of what it shows in mm."""

    jpeg: bytes
    width_mm: float
    height_mm: float


def print_picture(path: Path) -> PrintPicture | None:
    """The picture of a scan; None where the file is no scan, or does not say its scale."""
    try:
        with path.open("rb") as file:
            if not is_image(file.read(16)):
                return None
        header = pyvips.Image.new_from_file(str(path))
        ppi = header.xres * MM_PER_INCH
        if ppi < LEAST_STATED_PPI or header.width * header.height > MOST_PIXELS:
            return None
        width_mm, height_mm = header.width * MM_PER_INCH / ppi, header.height * MM_PER_INCH / ppi
        if max(width_mm, height_mm) > LONGEST_MM:
            return None
        small = pyvips.Image.thumbnail(
            str(path), max(1, round(width_mm * SHOWN_PPI / MM_PER_INCH)), height=10_000, size="down", no_rotate=True,
            export_profile="srgb", intent="relative",
        )  # fmt: skip
        whole = small.flatten(background=255) if small.hasalpha() else small
        jpeg = whole.colourspace("srgb").jpegsave_buffer(Q=80, keep="none", optimize_coding=True)
    except (OSError, pyvips.Error):
        return None
    return PrintPicture(bytes(jpeg), width_mm, height_mm)
