"""Colours of flat areas, against the same worked out one box at a time."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tackside.reading.scan.colours import primaries, sample_boxes
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.units import Box

PX_PER_MM = 8.0
ACROSS = 7
BOXES = [Box(1.0 + 5.0 * (number % ACROSS), 1.0 + 6.0 * (number // ACROSS), 4.0, 5.0) for number in range(42)]


def patches(dtype: type[np.unsignedinteger]) -> Pixels:
    """Noisy flat areas, one with specks of dust, one at the end of the numbers in a corner."""
    rng = np.random.default_rng(4)
    numbers = rng.uniform(0.05, 0.9, (330, 320, 3))
    for box in BOXES:
        part = numbers[int(box.y * 8) : int(box.bottom * 8), int(box.x * 8) : int(box.right * 8)]
        part[:] = rng.uniform(0.1, 0.85, 3) + rng.normal(0.0, 0.01, part.shape)
    middle = [int(PX_PER_MM * each) for each in BOXES[3].centre]
    numbers[middle[1] : middle[1] + 4, middle[0] : middle[0] + 3] = 0.0
    inner = BOXES[20]
    numbers[int(inner.y * 8) + 12 : int(inner.y * 8) + 16, int(inner.x * 8) : int(inner.right * 8), 2] = 1.0
    top = np.iinfo(dtype).max
    return np.rint(np.clip(numbers, 0.0, 1.0) * top).astype(dtype)


def turned_map() -> SheetMap:
    return SheetMap(np.array([[0.4, 0.3], [PX_PER_MM, 0.02], [-0.02, PX_PER_MM]]), np.zeros(2))


def one_by_one(
    pixels: Pixels, sheet_map: SheetMap, box: Box, count: int, profile: bytes
) -> tuple[Floats, float, bool, Floats]:
    inside = ((np.arange(count) + 0.5) / count - 0.5) * 0.6
    numbers = []
    for down in inside:
        for across in inside:
            x, y = sheet_map.to_px((box.x + box.w / 2 + across * box.w, box.y + box.h / 2 + down * box.h))
            numbers.append(pixels[int(np.floor(y)), int(np.floor(x))])
    seen: NDArray[np.unsignedinteger] = np.array(numbers)
    top = np.iinfo(pixels.dtype).max
    clipped = bool(max(np.mean((seen == 0) | (seen == top), axis=0)) > 0.05)
    lab = rgb_to_lab_by_profile(seen / top, profile)
    off = np.abs(lab[:, 0] - np.median(lab[:, 0]))
    kept = lab[off <= 4.0 * max(1.4826 * float(np.median(off)), 0.2)]
    mean = xyz_to_lab(lab_to_xyz(kept).mean(axis=0))
    sd = float(np.sqrt(np.mean(np.sum((kept - mean) ** 2, axis=1))))
    return mean, sd, clipped, seen.mean(axis=0) / top


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("profile", [None, working_space_profile("adobe-rgb")])
def test_boxes_read_as_each_does_alone(dtype: type[np.unsignedinteger], profile: bytes | None) -> None:
    pixels = patches(dtype)
    sheet_map = turned_map()
    sampled = sample_boxes(ScanImage("a.tif", "0" * 64, pixels, None, profile, ()), sheet_map, BOXES)
    count = round(4.0 * 0.6 * sheet_map.px_per_mm)
    alone = [
        one_by_one(pixels, sheet_map, box, count, profile or working_space_profile("srgb")) for box in BOXES
    ]
    assert np.allclose(sampled.lab, [each[0] for each in alone], rtol=0, atol=1e-9)
    assert np.allclose(sampled.sd, [each[1] for each in alone], rtol=0, atol=1e-9)
    assert sampled.clipped.tolist() == [each[2] for each in alone]
    assert sampled.clipped.any()
    assert np.allclose(sampled.numbers, [each[3] for each in alone], rtol=0, atol=1e-12)
    assert not sampled.colourless


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("name", ["srgb", "adobe-rgb"])
def test_primaries_are_those_of_the_profile(dtype: type[np.unsignedinteger], name: str) -> None:
    profile = working_space_profile("srgb" if name == "srgb" else "adobe-rgb")
    scan = ScanImage("a.tif", "0" * 64, np.zeros((1, 1, 3), dtype), None, profile, ())
    assert np.array_equal(primaries(scan), lab_to_xyz(rgb_to_lab_by_profile(np.eye(3), profile)).T)
