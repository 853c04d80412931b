"""The small grey image that marks are sought in, against libvips' own reduction."""

from __future__ import annotations

import numpy as np
import pytest
import pyvips

from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.marks.detections import shrunk_grey


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("factor", [1, 2, 3, 4, 7])
@pytest.mark.parametrize("size", [(203, 317), (256, 200), (229, 402)])
def test_it_is_what_libvips_makes_of_the_green_channel(
    dtype: type[np.unsignedinteger], factor: int, size: tuple[int, int]
) -> None:
    top = np.iinfo(dtype).max
    pixels = np.random.default_rng(factor).integers(0, top + 1, (*size, 3)).astype(dtype)
    scan = ScanImage("a.tif", "0" * 64, pixels, None, None, ())
    theirs = pyvips.Image.new_from_array(np.ascontiguousarray(pixels[..., 1])).shrink(factor, factor)
    eight = (theirs / (top / 255)).cast("uchar").numpy()
    assert np.array_equal(shrunk_grey(scan, factor), eight)
