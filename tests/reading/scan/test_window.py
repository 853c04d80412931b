"""Part of a scan in one band, against the same in all three."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from tackside.reading.scan.colours import interpolated, window
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.units import Box

# Askew, a little curved, some 8 pixels a millimetre.
ASKEW = SheetMap(
    np.array([[60.0, 50.0], [8.0, 0.4], [-0.5, 7.9], [0.01, 0.0], [0.0, 0.02], [0.01, 0.01]]),
    np.array([10.0, 10.0]),
)


def speckled() -> ScanImage:
    pixels = np.random.default_rng(3).integers(0, 65536, (130, 140, 3)).astype(np.uint16)
    return ScanImage("speckled.tif", "0" * 64, pixels, 200.0, None, ())


@pytest.mark.parametrize("interpolation", [cv2.INTER_CUBIC, cv2.INTER_LINEAR])
def test_one_band_alone_is_what_it_is_among_all(interpolation: int) -> None:
    part = window(speckled(), ASKEW, Box(7.0, 7.0, 6.0, 5.0))
    assert part is not None
    mm = np.random.default_rng(4).uniform((6.8, 6.8), (13.2, 12.2), (30, 40, 2))
    every = part.at(mm, interpolation)
    assert every.shape == (30, 40, 3)
    for band in range(3):
        np.testing.assert_array_equal(part.only(band).at(mm, interpolation), every[..., band, None])


def test_one_channel_alone_is_what_it_is_among_all() -> None:
    scan = speckled()
    at = np.random.default_rng(5).uniform(0.0, 130.0, (30, 40, 2))
    every = interpolated(scan.pixels, at)
    for channel in range(3):
        np.testing.assert_array_equal(interpolated(scan.pixels[..., channel], at), every[..., channel])
