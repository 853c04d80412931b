"""A face of the card as a TIFF file (Revision 6.0): exact size, resolution and profile, streamed."""

from __future__ import annotations

from pathlib import Path

import pyvips

from tackside.profile.link.convert import with_profile


def save_tiff(sheet: pyvips.Image, profile: bytes, path: Path) -> None:
    """Write a sheet, whose ``xres`` and ``yres`` say its resolution. Same input, same bytes.

    Raises pyvips.Error, from the sheet's pictures or from the disk.
    """
    with_profile(sheet, profile).tiffsave(
        str(path), compression="lzw", predictor="horizontal", resunit="inch", keep="icc"
    )
