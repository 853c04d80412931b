"""The demo's picture: the harbour of the test sheet, painted at the size of a photograph."""

from __future__ import annotations

from pathlib import Path

import pyvips

from tackside.files.atomic import atomic_path
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tackside.sheet.scenery.picture import paint, to_bytes_dithered

WIDTH_PX, HEIGHT_PX = 3300, 2200


def draw_picture(path: Path) -> None:
    """Write the picture as PNG in sRGB, profile embedded. Raises StorageTrouble."""
    pixels = to_bytes_dithered(paint(WIDTH_PX, HEIGHT_PX))
    image = pyvips.Image.new_from_memory(pixels.tobytes(), WIDTH_PX, HEIGHT_PX, 3, "uchar")
    image = with_profile(image.copy(interpretation="srgb"), working_space_profile("srgb"))
    with atomic_path(path) as temporary:
        image.pngsave(str(temporary), compression=6)
