"""Corners found again on the full raster, against a plain way to the same lines, one profile at a time."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import pytest

from tackside.colour.spaces import Floats
from tackside.reading.scan.image_file import Pixels
from tackside.reading.scan.marks.detections import refined_corners

TRUE: Floats = np.array([[41.3, 38.6], [120.9, 44.2], [115.1, 123.7], [35.6, 118.0]])


def square(dtype: type[np.unsignedinteger], noise: float = 0.01) -> Pixels:
    """A dark square on light ground, askew, blurred, with noise; its side is 80 px."""
    canvas = np.full((160 * 8, 160 * 8), 230, np.uint8)
    cv2.fillConvexPoly(canvas, np.rint(TRUE * 8 * 16).astype(np.int32), 30, shift=4)
    small = cv2.resize(cv2.GaussianBlur(canvas, (0, 0), 6.0), (160, 160), interpolation=cv2.INTER_AREA) / 255
    rng = np.random.default_rng(2)
    noisy = small[..., None] + rng.normal(0.0, noise, (160, 160, 3))
    return np.rint(np.clip(noisy, 0, 1) * np.iinfo(dtype).max).astype(dtype)


def plainly(pixels: Pixels, rough: Floats, reach: float) -> Floats:
    grey = pixels.astype(np.float32).sum(axis=2) / np.float32(3)
    steps = np.linspace(-reach, reach, 2 * int(4 * reach) + 1)
    lines = []
    for start, end in pairwise([*rough, rough[0]]):
        along = (end - start) / np.hypot(*(end - start))
        outwards = np.array([along[1], -along[0]])
        profiles, places = [], []
        for share in np.linspace(0.12, 0.88, 24):
            place = start + share * (end - start)
            at = (place + steps[:, None] * outwards - 0.5).astype(np.float32)
            seen = cv2.remap(grey, at[:, :1].copy(), at[:, 1:].copy(), cv2.INTER_LINEAR)
            profiles.append(seen[:, 0].astype(float))
            places.append(place)
        edge = max(2, len(steps) // 6)
        usual = np.median([each[-edge:].mean() - each[:edge].mean() for each in profiles])
        crossed = []
        for place, levels in zip(places, profiles, strict=True):
            dark, light = levels[:edge].mean(), levels[-edge:].mean()
            above = np.flatnonzero(levels >= (dark + light) / 2)
            if light - dark <= 0.3 * usual or len(above) == 0 or above[0] == 0:
                continue
            first = above[0]
            share = ((dark + light) / 2 - levels[first - 1]) / (levels[first] - levels[first - 1])
            at = steps[first - 1] + share * (steps[first] - steps[first - 1])
            crossed.append(place + at * outwards)
        u, v = np.array(crossed) @ along, np.array(crossed) @ outwards
        keep = np.ones(len(u), bool)
        for _ in range(3):
            slope, offset = np.polyfit(u[keep], v[keep], 1)
            away = np.abs(v - slope * u - offset)
            keep = away <= max(0.15, 2.5 * np.median(away))
        lines.append((u.mean() * along + (slope * u.mean() + offset) * outwards, along + slope * outwards))
    corners = []
    for one, two in zip([lines[-1], *lines[:-1]], lines, strict=True):
        share = np.linalg.solve(np.column_stack([one[1], -two[1]]), two[0] - one[0])[0]
        corners.append(one[0] + share * one[1])
    return np.array(corners)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_they_are_where_the_plain_way_finds_them(dtype: type[np.unsignedinteger]) -> None:
    pixels = square(dtype)
    pixels[60:68, 110:130] = 0  # something dark across the right side, and a bump on it
    pixels[85:97, 112:121] = 0
    pixels[115:135, 60:72] = np.iinfo(dtype).max // 5  # hardly lighter below than inside
    rough = TRUE + np.array([[1.2, -0.8], [-1.0, 0.9], [0.7, 1.1], [-0.9, -1.2]])
    found = refined_corners(pixels, rough, reach_px=7.0)
    # Where profiles are sampled is told in 32 bits.
    assert np.allclose(found, plainly(pixels, rough, 7.0), rtol=0, atol=2e-5)
    assert np.abs(found - TRUE).max() < 0.3


def test_a_side_that_does_not_show_leaves_its_corners_as_they_were() -> None:
    pixels = square(np.uint8, noise=0.0)
    pixels[:60] = 30  # no light above the upper side
    rough = TRUE + 0.5
    found = refined_corners(pixels, rough, reach_px=7.0)
    assert np.array_equal(found[:2], rough[:2])
    assert np.abs(found[2:] - TRUE[2:]).max() < 0.25
