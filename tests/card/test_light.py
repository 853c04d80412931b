"""The loop that reduces in linear light, beside the plain form of it in 64-bit floats."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.card.pixels import light_kernel
from tackside.card.pixels.light import MANY_PX, Stretch, curve, reduced_in_light
from tackside.profile.icc.working_space import working_space_profile
from tackside.tasks import machine_code
from tests.profile.small_profiles import grey_profile

SRGB = working_space_profile("srgb")


def seen(image: np.ndarray, across: Stretch, down: Stretch, profile: bytes = SRGB) -> np.ndarray:
    return reduced_in_light(pyvips.Image.new_from_array(image), profile, across, down).numpy()


def plain(image: np.ndarray, across: Stretch, down: Stretch, profile: bytes = SRGB) -> np.ndarray:
    """The exact numbers, not rounded: (h, w, bands)."""
    most, greys = np.iinfo(image.dtype).max, np.linspace(0, 1, 1024)
    light = np.interp(image / most, greys, curve(profile))
    for axis, stretch in ((0, down), (1, across)):
        light = np.moveaxis(np.tensordot(weights(stretch, image.shape[axis]), light, (1, axis)), 0, axis)
    return np.interp(np.clip(light, 0, 1), curve(profile), greys) * most


def weights(stretch: Stretch, size: int) -> np.ndarray:
    """A row of weights for each pixel of the result, over all of the picture's (count, size)."""
    made = np.zeros((stretch.count, size))
    for row, each in enumerate(made):
        centre = stretch.begin + (row + 0.5) * stretch.step
        for pixel in range(int(centre - 3 * stretch.step) - 2, int(centre + 3 * stretch.step) + 3):
            away = (pixel + 0.5 - centre) / stretch.step
            if abs(away) < 3:
                each[min(max(pixel, 0), size - 1)] += np.sinc(away) * np.sinc(away / 3)
        each /= each.sum()
    return made


def noise(shape: tuple[int, ...], dtype: type) -> np.ndarray:
    """Full of edges, so that the kernel throws much below nothing and over full light."""
    random = np.random.default_rng(5)
    return (random.random(shape) ** 2 * np.iinfo(dtype).max).astype(dtype)


WAYS = [
    (Stretch(-2.3, 2.29, 60), Stretch(0.7, 2.4, 40)),
    (Stretch(0.0, 1.01, 130), Stretch(5.5, 3.0, 30)),
    (Stretch(-40.0, 9.7, 25), Stretch(-30.0, 11.3, 14)),
]


@pytest.mark.parametrize(("across", "down"), WAYS)
def test_eight_bits_are_the_exact_numbers_rounded(across: Stretch, down: Stretch) -> None:
    picture = noise((101, 133, 3), np.uint8)
    apart = seen(picture, across, down) - plain(picture, across, down)
    assert np.abs(apart).max() < 0.51  # rounding alone is 0.5
    assert np.abs(apart.mean()) < 0.02


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
@pytest.mark.parametrize(("across", "down"), WAYS)
def test_sixteen_bits_keep_their_last_place(across: Stretch, down: Stretch, space: str) -> None:
    picture, profile = noise((101, 133, 3), np.uint16), working_space_profile(space)  # type: ignore[arg-type]
    apart = np.abs(seen(picture, across, down, profile) - plain(picture, across, down, profile))
    assert apart.max() < 0.6  # rounding alone is 0.5
    assert apart.mean() < 0.27  # rounding alone has 0.25


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_every_number_comes_back_from_light(dtype: type, space: str) -> None:
    """Pixel on pixel the kernel is one and nothings."""
    numbers = np.arange(np.iinfo(dtype).max + 1).astype(dtype)
    picture = np.repeat(numbers.reshape(16, -1)[..., np.newaxis], 3, axis=2)
    back = seen(
        picture, Stretch(0, 1, picture.shape[1]), Stretch(0, 1, 16), working_space_profile(space)  # type: ignore[arg-type]
    )  # fmt: skip
    assert np.array_equal(back, picture)


def test_grey_is_one_channel_of_it() -> None:
    picture = noise((80, 90), np.uint8)
    across, down = Stretch(0.2, 2.2, 40), Stretch(0.1, 2.1, 37)
    alone = seen(picture[..., np.newaxis], across, down, grey_profile(2.2))
    exact = plain(picture[..., np.newaxis], across, down, grey_profile(2.2))
    assert alone.reshape(37, 40).shape == exact[..., 0].shape
    assert np.abs(alone.reshape(37, 40) - exact[..., 0]).max() < 0.51


def test_a_picture_smaller_than_the_kernel_repeats_its_edges() -> None:
    picture = noise((3, 2, 3), np.uint8)
    across, down = Stretch(-1.0, 1.5, 3), Stretch(0.0, 1.2, 2)
    assert np.abs(seen(picture, across, down) - plain(picture, across, down)).max() < 0.51


@pytest.mark.parametrize("tall", [400, 397])
def test_rows_of_a_strong_reduction_are_averaged_first(tall: int) -> None:
    """Five rows to a mean; the last mean repeats the last row where the picture has no more."""
    picture = noise((tall, 400, 3), np.uint8)
    across, down = Stretch(0, 20.0, 20), Stretch(0, 20.0, 20)
    assert down.step > MANY_PX
    filled = np.concatenate([picture, np.repeat(picture[-1:], 400 - tall, axis=0)])
    light = np.interp(filled / 255, np.linspace(0, 1, 1024), curve(SRGB)).reshape(80, 5, 400, 3).mean(axis=1)
    for axis, stretch in ((0, Stretch(0, 4.0, 20)), (1, across)):
        light = np.moveaxis(np.tensordot(weights(stretch, light.shape[axis]), light, (1, axis)), 0, axis)
    exact = np.interp(np.clip(light, 0, 1), curve(SRGB), np.linspace(0, 1, 1024)) * 255
    assert np.abs(seen(picture, across, down) - exact).max() < 0.51


def test_it_lies_where_it_was_asked_for() -> None:
    at = np.arange(240) + 0.5
    spot = np.exp(-((at[:, np.newaxis] - 101.3) ** 2 + (at - 120.8) ** 2) / 200)
    picture = np.repeat(np.rint(spot * 65535).astype(np.uint16)[..., np.newaxis], 3, axis=2)
    reduced = seen(picture, Stretch(-3.7, 2.37, 103), Stretch(1.9, 2.5, 95))
    linear, light = (
        np.interp(each[..., 1] / 65535, np.linspace(0, 1, 1024), curve(SRGB)) for each in (reduced, picture)
    )
    for axis, begin, step in ((0, 1.9, 2.5), (1, -3.7, 2.37)):
        there = begin + (np.arange(linear.shape[axis]) + 0.5) * step
        found = (linear.sum(axis=1 - axis) * there).sum() / linear.sum()
        assert found == pytest.approx((light.sum(axis=1 - axis) * at).sum() / light.sum(), abs=0.005)


def test_no_more_rows_are_held_than_the_kernel_reaches(tmp_path: Path) -> None:
    path = tmp_path / "tall.tif"
    pyvips.Image.gaussnoise(600, 12000).cast("uchar").bandjoin([128, 20]).copy(
        interpretation="srgb"
    ).tiffsave(path)
    across, down = Stretch(0, 5.0, 120), Stretch(0, 5.0, 2400)

    def made() -> None:
        image = pyvips.Image.new_from_file(str(path), access="sequential")
        reduced_in_light(image, SRGB, across, down)

    made()  # what is loaded once
    tracemalloc.start()
    made()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    rows, result, shares = 32 * 600 * 3 * 4, 2400 * 120 * 3, 2400 * 32 * 8 * 8
    assert peak < rows + result + shares  # the picture alone, in floats, is 86 MB
    assert rows + result + shares < 10e6


@pytest.mark.skipif(not machine_code._IS_TRIED, reason="tried on Linux, x86-64")
@pytest.mark.parametrize("dtype", ["u1", "u2"])
def test_its_machine_code_stands_alone(dtype: str) -> None:
    rows, shares = f"{dtype}:2", ("u8:1", "f4:2")
    kinds = (rows, "i8", "f4:1", "f4:2", "i8", *shares, "i8", *shares, "f4:2", "f4:1", "f4:1", rows)
    assert machine_code._compiled(light_kernel.reduce_rows, kinds) is not None
