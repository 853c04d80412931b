"""A face of the card as a TIFF file (Revision 6.0): exact size, resolution and profile."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.bench.files import atomic_path
from tackside.errors import StorageTrouble
from tackside.units import MM_PER_INCH


def write_tiff(pixels: NDArray[np.uint8], ppi: float, profile: bytes, path: Path) -> None:
    """Write RGB pixels (h, w, 3) with ``profile`` embedded. Same input, same bytes. Raises StorageTrouble."""
    height, width = pixels.shape[:2]
    image = pyvips.Image.new_from_memory(np.ascontiguousarray(pixels).data, width, height, 3, "uchar")
    image = image.copy(interpretation="srgb", xres=ppi / MM_PER_INCH, yres=ppi / MM_PER_INCH)
    image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
    with atomic_path(path) as temporary:
        try:
            image.tiffsave(
                str(temporary), compression="lzw", predictor="horizontal", resunit="inch", keep="icc"
            )
        except pyvips.Error as error:
            raise StorageTrouble(
                f"{path} cannot be written", "check that the disk has room and the folder can be written to"
            ) from error
