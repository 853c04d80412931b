"""The icon, drawn from ``packaging/tackside.svg`` in the forms that each system wants."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pyvips
from PIL import Image

from tools.licences import ROOT

SVG = ROOT / "packaging" / "tackside.svg"
LARGEST = 1024
# What desktops of Linux look for (the icon theme's folders), and Windows' and macOS's own sizes.
PNG_SIZES = (16, 24, 32, 48, 64, 128, 256, 512)
ICO_SIZES = (16, 24, 32, 48, 64, 128, 256)


def drawn(size: int) -> Image.Image:
    """The icon at one size, drawn at that size: small ones come out sharper than by making a large one smaller."""
    found = pyvips.Image.svgload_buffer(SVG.read_bytes(), scale=size / 512)
    return Image.open(BytesIO(found.write_to_buffer(".png")))


def draw(folder: Path) -> None:
    """Write ``tackside.png``, ``tackside-SIZE.png``, ``tackside.ico`` and ``tackside.icns`` into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for size in PNG_SIZES:
        drawn(size).save(folder / f"tackside-{size}.png", optimize=True)
    drawn(512).save(folder / "tackside.png", optimize=True)
    small = [drawn(size) for size in ICO_SIZES]
    small[-1].save(
        folder / "tackside.ico", sizes=[(size, size) for size in ICO_SIZES], append_images=small[:-1]
    )
    sizes = (32, 64, 128, 256, 512)
    drawn(LARGEST).save(folder / "tackside.icns", append_images=[drawn(size) for size in sizes])
