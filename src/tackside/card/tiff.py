"""A face of the card as a TIFF file (Revision 6.0) or a JPEG: exact size, resolution and profile, streamed."""

from __future__ import annotations

import struct
from pathlib import Path

import pyvips

from tackside.profile.convert import with_profile
from tackside.units import MM_PER_INCH

EXIF, ICC = 1, 8  # VipsForeignKeep
JPEG_EDGE_PX = 65_535  # ITU-T T.81, table B.2: the frame header holds 16 bits for each side


def save_tiff(sheet: pyvips.Image, profile: bytes, path: Path) -> None:
    """Write a sheet, whose ``xres`` and ``yres`` say its resolution. Same input, same bytes.

    Raises pyvips.Error, from the sheet's pictures or from the disk.
    """
    with_profile(sheet, profile).tiffsave(
        str(path), compression="lzw", predictor="horizontal", resunit="inch", keep="icc"
    )


def save_jpeg(sheet: pyvips.Image, profile: bytes, path: Path, quality: int) -> None:
    """The same as a JPEG (ITU-T T.81) with colour at full resolution. Raises pyvips.Error, OSError.

    libvips puts the resolution into Exif; it is said in the JFIF header too, where most programs look.
    """
    data = with_profile(sheet, profile).jpegsave_buffer(Q=quality, subsample_mode="off", keep=EXIF | ICC)
    dots = round(sheet.xres * MM_PER_INCH), round(sheet.yres * MM_PER_INCH)
    # JFIF 1.02: APP0 right after the start of the image; version, unit (1: dots an inch), density, no thumbnail.
    header = struct.pack(">HH5s2sBHHBB", 0xFFE0, 16, b"JFIF\0", b"\1\2", 1, *dots, 0, 0)
    with path.open("wb") as file:
        file.write(data[:2] + header)
        file.write(memoryview(data)[2:])
