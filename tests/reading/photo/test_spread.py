"""How far single patches of a photograph can be relied on is measured, and as much of each is looked at as is safe."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.photo.plane import Lens, PhotoMap
from tackside.reading.photo.read import _ramp_noise
from tackside.reading.photo.samples import MARGIN_PX, inner, sample
from tackside.records import Patch
from tackside.units import Box

PER_MM = 6.0


def test_blur_beside_a_patch_stays_out_and_small_patches_keep_their_middle() -> None:
    large, small = inner(np.array([[8.0, 5.0]]), PER_MM)[0], inner(np.array([[1.5, 1.5]]), PER_MM)[0]
    assert np.all((np.array([8.0, 5.0]) - large) / 2 * PER_MM >= MARGIN_PX - 1e-9)
    assert np.all(large > 0.55 * np.array([8.0, 5.0]))
    assert small == pytest.approx([0.825, 0.825])


def mottled(rng: np.random.Generator, wide_px: int, sd: float) -> np.ndarray:
    """A grey picture whose blots are ``wide_px`` wide."""
    blots = rng.normal(0.0, sd, (40, 60)).repeat(wide_px, axis=0).repeat(wide_px, axis=1)
    return np.clip(90.0 + blots, 0, 255).astype(np.uint8)[..., None].repeat(3, axis=2)


@pytest.mark.parametrize("wide_px", [1, 3, 12])
def test_a_mean_is_as_sure_as_its_quarters_say(wide_px: int) -> None:
    """One standard error of the mean of four quarters is half of their standard deviation, by blots of any width up to
    half a patch; that of single pixels would be ten times too small for the widest."""
    pixels = mottled(np.random.default_rng(7), wide_px, 12.0)
    straight = PhotoMap(np.diag([PER_MM, PER_MM, 1.0]), Lens.straight(pixels.shape[1], pixels.shape[0]))
    reach = np.array(pixels.shape[1::-1]) / PER_MM
    side = min(reach[1] / 8.0, 24.0 / PER_MM)
    across, down = np.meshgrid(np.arange(side, reach[0] - side, side), np.arange(side, reach[1] - side, side))
    middles = np.stack([across.ravel(), down.ravel()], axis=-1)
    got = sample(pixels, straight, middles, np.full_like(middles, side))
    really = float(got.mean[:, 0].std())
    stated = float(np.sqrt(np.mean(got.sd[:, 0] ** 2))) / 2.0
    assert 0.6 * really <= stated <= 1.6 * really


def patches(numbers: np.ndarray) -> tuple[Patch, ...]:
    return tuple(
        Patch(
            name=f"P{n}",
            rgb=(one, one, one),
            roles=("grey",),
            panel="front",
            box_mm=Box(x=float(n), y=0.0, w=1.0, h=1.0),
        )
        for n, one in enumerate(numbers.tolist())
    )


def test_a_smooth_ramp_has_no_noise_and_a_rough_one_has_its_own() -> None:
    numbers = np.linspace(0.0, 0.24, 25)
    smooth = np.stack([15.0 + 60.0 * numbers, np.zeros(25), np.zeros(25)], axis=-1)
    assert _ramp_noise(patches(numbers), smooth) == pytest.approx(0.0, abs=1e-9)
    found = []
    for seed in range(40):
        rough = smooth.copy()
        rough[:, 0] += np.random.default_rng(seed).normal(0.0, 0.6, 25)
        found.append(_ramp_noise(patches(numbers), rough))
    assert np.mean(found) == pytest.approx(0.6, rel=0.15)


def test_too_few_greys_say_nothing() -> None:
    numbers = np.linspace(0.0, 0.2, 4)
    assert (
        _ramp_noise(patches(numbers), np.array([[20.0, 0, 0], [30.0, 0, 0], [20.0, 0, 0], [30.0, 0, 0]]))
        == 0.0
    )
