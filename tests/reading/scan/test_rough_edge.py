"""The first step that most profiles share, against the same sought slope by slope and channel by channel."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.scan.geometry.placement import (
    COARSE_MM,
    LEAST_STEP,
    MOST_SKEW_DEG,
    SLOPES,
    Strip,
    _rough_line,
)


def strip(seed: int, slope: float, step: float, noise: float = 0.002) -> Strip:
    """Profiles that leave paper for a lid, most of them; some cross a ruler first, some lie outside the scan."""
    rng = np.random.default_rng(seed)
    along, steps = np.linspace(-130.0, 130.0, 96), np.arange(-3.0, 12.0, COARSE_MM)
    off = steps[None, :] - (1.7 + slope * along[:, None])
    beyond = 1 / (1 + np.exp(-off / 0.05))
    levels = (
        0.9 - step * beyond[..., None] * np.array([1.0, 0.9, 0.8]) + rng.normal(0, noise, (96, len(steps), 3))
    )
    levels[5:20, 8:11] = 0.2
    last = np.full(96, len(steps) - 1)
    last[60:66] = -1
    return Strip(levels, last, along, steps)


def plainly(some: Strip) -> tuple[float, float] | None:
    def rise(profile: np.ndarray) -> np.ndarray:
        return np.asarray(np.sqrt(np.mean((profile[2:] - profile[:-2]) ** 2, axis=1)))

    shown = np.flatnonzero(some.last > 0)[::2]
    count = len(some.steps_mm)
    most = np.tan(np.radians(MOST_SKEW_DEG))
    best: tuple[float, float, float] | None = None
    for slope in sorted(np.linspace(-most, most, SLOPES), key=abs):
        moved = []
        for number in shown:
            by = round(slope * some.along_mm[number] / COARSE_MM)
            at = np.clip(np.arange(count) + by, 0, count - 1)
            moved.append(some.levels[number][at].astype(np.float32))
        height = rise(np.median(np.array(moved, dtype=np.float64), axis=0))
        over = np.flatnonzero(height > max(LEAST_STEP, 5 * 1.4826 * np.median(height)))
        if len(over) == 0:
            continue
        first = over[0] + int(np.argmax(height[over[0] : over[0] + 4])) + 1
        sharpness = rise(np.mean(np.array(moved, dtype=np.float64), axis=0))[
            max(first - 3, 0) : first + 2
        ].max()
        if best is None or sharpness > best[0] + 1e-6:
            best = (sharpness, some.steps_mm[0] + first * COARSE_MM, slope)
    return None if best is None else best[1:]


@pytest.mark.parametrize(("slope", "step"), [(0.0, 0.3), (0.006, 0.05), (-0.015, -0.08), (0.01, 0.0)])
def test_it_is_the_one_that_the_plain_way_finds(slope: float, step: float) -> None:
    for seed in range(3):
        some = strip(seed, slope, step)
        expected = plainly(some)
        assert _rough_line(some) == (None if expected is None else pytest.approx(expected, abs=1e-12))
        assert (expected is None) == (step == 0.0)


def test_a_step_has_to_stand_out_of_the_noise() -> None:
    for seed in range(3):
        assert plainly(strip(seed, 0.0, 0.0, noise=0.03)) is None
        assert _rough_line(strip(seed, 0.0, 0.0, noise=0.03)) is None


def test_too_few_profiles_in_the_scan_tell_nothing() -> None:
    some = strip(0, 0.0, 0.3)
    some.last[:80] = -1
    assert _rough_line(some) is None
