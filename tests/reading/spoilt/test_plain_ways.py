"""What is looked at in a scan for signs of a program, against plain ways to the same numbers."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from tackside.reading.scan.colours import interpolated
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.reading.scan.marks.detections import SeenMark
from tackside.reading.scan.marks.sheets import FoundSheet
from tackside.reading.spoilt.patches import painted_white
from tackside.reading.spoilt.pixels import MOST_NOISE, ROWS, STRIPS, _above, _spectra
from tackside.reading.spoilt.samples import ScanSamples
from tackside.reading.spoilt.tone import BESIDE, INSIDE, OUTSIDE, POINTS, bare_card, outlines, white_end
from tackside.records import Mark
from tackside.units import Box

DTYPES = pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
MAP = SheetMap(np.array([[3.3, 4.1], [9.7, 0.11], [-0.1, 9.8]]), np.zeros(2))
MARKS = [
    Mark(id=number, panel="front", box_mm=Box(x, y, 6.0, 6.0))
    for number, (x, y) in enumerate([(8, 9), (40, 31)])
]


def pixels_of(dtype: type[np.unsignedinteger], seed: int = 5) -> Pixels:
    """Noise on light ground with two dark squares, parts at the very end of the numbers, waves in between."""
    rng = np.random.default_rng(seed)
    numbers = 0.9 + rng.normal(0.0, 0.02, (480, 640, 3))
    numbers += 0.02 * np.sin(np.arange(640) / 3.0)[None, :, None]
    for mark in MARKS:
        corners = MAP.to_px([[mark.box_mm.x, mark.box_mm.y], [mark.box_mm.right, mark.box_mm.bottom]]).astype(
            int
        )
        numbers[corners[0, 1] : corners[1, 1], corners[0, 0] : corners[1, 0]] = 0.1
    numbers[300:380, 50:250] = 1.0
    numbers[420:423, 50:250] = 1.0
    return np.rint(np.clip(numbers, 0, 1) * np.iinfo(dtype).max).astype(dtype)


def samples_of(pixels: Pixels, thin: Pixels | None = None) -> ScanSamples:
    scan = ScanImage("a.tif", "0" * 64, pixels, None, None, ())
    seen = [SeenMark(mark.id, np.zeros((4, 2)), np.zeros(2)) for mark in MARKS]
    sheet = FoundSheet(tuple(zip(MARKS, seen, strict=True)), MAP, ())
    return ScanSamples(scan, sheet, (), pixels[::3] if thin is None else thin, (20, 10, 620, 470))


@DTYPES
def test_white_areas_are_those_at_the_end_in_every_channel(dtype: type[np.unsignedinteger]) -> None:
    rows = pixels_of(dtype)
    top = np.iinfo(dtype).max
    rows[100:200, 300:400, 1:] = top  # two channels only, and one
    rows[100:200, 450:550, 0] = top
    at_end = (rows == top).all(axis=2).astype(np.uint8)
    kernel = np.ones((12, 24), np.uint8)
    expected = float(cv2.morphologyEx(at_end, cv2.MORPH_OPEN, kernel).mean())
    assert expected > 0.05
    assert painted_white(rows, 4.0, 4.0) == expected
    assert painted_white(np.minimum(rows, top - 1).astype(dtype), 4.0, 4.0) == 0.0


@DTYPES
def test_the_white_end_is_counted_of_light_neutral_pixels(dtype: type[np.unsignedinteger]) -> None:
    samples = samples_of(pixels_of(dtype))
    some = samples.thin.reshape(-1, 3)[::5].astype(float)
    top = float(np.iinfo(dtype).max)
    light = sum(min(each) > 0.86 * top and max(each) - min(each) < 0.05 * top for each in some.tolist())
    ended = sum(min(each) == top for each in some.tolist())
    assert 0 < ended < light
    assert white_end(samples) == ended / light


@DTYPES
def test_bare_card_is_the_median_of_each_place(dtype: type[np.unsignedinteger]) -> None:
    pixels = pixels_of(dtype)
    places, numbers = bare_card(samples_of(pixels))
    assert len(places) == 8
    left, top = MAP.to_px([8.0 - 0.95, 9.0]).astype(int)
    right, bottom = MAP.to_px([8.0 - 0.25, 15.0]).astype(int)
    scale = 257.0 if dtype is np.uint16 else 1.0
    expected = np.median(pixels[top:bottom, left:right].reshape(-1, 3) / scale, axis=0)
    assert np.allclose(numbers[0], expected, rtol=1e-6)


@DTYPES
def test_an_outline_is_the_mean_of_its_profiles_in_green(dtype: type[np.unsignedinteger]) -> None:
    pixels = pixels_of(dtype)
    found = outlines(samples_of(pixels))
    assert len(found) == 8
    off = np.linspace(-INSIDE, OUTSIDE, round(POINTS * (INSIDE + OUTSIDE)))
    box = MARKS[0].box_mm
    profiles = [
        interpolated(pixels, MAP.to_px([[[box.x - out, box.y + share * box.w] for out in off]]))[0, :, 1]
        for share in np.linspace(0.2, 0.8, BESIDE)
    ]
    assert np.allclose(found[0].light, np.mean(profiles, axis=0) / np.iinfo(dtype).max * 255, rtol=1e-5)
    alone = replace(samples_of(pixels), scan=replace(samples_of(pixels).scan, pixels=pixels[..., [1, 1, 1]]))
    assert all(np.array_equal(one.light, two.light) for one, two in zip(found, outlines(alone), strict=True))


@DTYPES
@pytest.mark.parametrize("axis", [0, 1])
def test_waves_are_those_of_the_differences(dtype: type[np.unsignedinteger], axis: int) -> None:
    samples = samples_of(pixels_of(dtype))
    length = 256
    left, top, right, bottom = samples.sheet_part
    sheet = samples.scan.pixels[top:bottom, left:right, 1] / (257.0 if dtype is np.uint16 else 1.0)
    sheet = sheet if axis == 1 else sheet.T
    expected = np.zeros((2, length // 2 + 1))
    for number in range(STRIPS):
        across = int((number + 0.5) / STRIPS * (sheet.shape[0] - ROWS))
        along = int((number * 0.37) % 1.0 * (sheet.shape[1] - length))
        part = sheet[across : across + ROWS, along : along + length]
        for order in (1, 2):
            size = np.minimum(np.abs(np.diff(part, n=order, axis=1)), MOST_NOISE).mean(axis=0)
            trace = np.pad(size, (1, length - 1 - len(size)), mode="edge")
            trace = trace / (np.convolve(trace, np.ones(15) / 15, mode="same") + 0.02)
            expected[order - 1] += np.abs(np.fft.rfft((trace - trace.mean()) * np.hanning(length)))
    given = _spectra(samples, axis, length)
    assert np.allclose(given, expected, rtol=1e-4, atol=1e-4)


def test_a_wave_stands_over_the_usual_one_near_it() -> None:
    power = np.random.default_rng(3).uniform(0.5, 2.0, 257)
    padded = np.pad(power, 40, mode="reflect")
    near = [
        np.median([padded[at + 40 + by] for by in range(-40, 41) if abs(by) > 3]) for at in range(len(power))
    ]
    assert np.array_equal(_above(power), power / np.array(near))
