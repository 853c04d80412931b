"""How far the blurriness of a line can be off that runs along the scanner's own columns."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr

from tackside.reading.scan.lines import TEN_TO_NINETY, phase_sd_um

PIXEL_UM = 1000 * 25.4 / 300


@pytest.mark.parametrize("sigma_px", [0.25, 0.3, 0.35, 0.4, 0.5])
def test_the_stated_doubt_is_that_of_edges_sampled_at_every_phase(sigma_px: float) -> None:
    # A normal edge, integrated over each pixel and interpolated by the cubic kernel (R. G. Keys, IEEE Transactions on
    # Acoustics, Speech and Signal Processing 29, 1981, with a = −0.75), written down here anew.
    widths = np.array([_ten_to_ninety(sigma_px, phase) for phase in np.linspace(0.0, 1.0, 11)[:-1]])
    stated = phase_sd_um(widths.mean() * PIXEL_UM, PIXEL_UM, 0.0) / PIXEL_UM
    assert stated == pytest.approx(widths.std(), rel=0.35)


def test_a_blur_of_two_pixels_or_a_tilt_across_one_leaves_no_doubt() -> None:
    wide = [_ten_to_ninety(0.72, phase) for phase in np.linspace(0.0, 1.0, 11)[:-1]]
    assert np.std(wide) < 0.03
    assert np.mean(wide) == pytest.approx(TEN_TO_NINETY * np.hypot(0.72, 1 / np.sqrt(12)), rel=0.05)
    assert phase_sd_um(np.mean(wide) * PIXEL_UM, PIXEL_UM, 0.0) < 1.0
    assert phase_sd_um(100.0, PIXEL_UM, 1.0) == 0.0


def _ten_to_ninety(sigma_px: float, phase: float) -> float:
    places = np.arange(-8, 9)
    within = np.linspace(-0.5, 0.5, 101)
    pixels = ndtr((places[:, None] + phase + within) / sigma_px).mean(axis=1)
    fine = np.linspace(-5.0, 5.0, 4001)
    edge = _cubic(fine[:, None] - places) @ pixels
    # From the dark side outwards to where it first falls below, as a line is measured.
    return float(fine[np.flatnonzero(edge <= 0.9).max()] - fine[np.flatnonzero(edge <= 0.1).max()])


def _cubic(x: np.ndarray) -> np.ndarray:
    a, x = -0.75, np.abs(x)
    near = (a + 2) * x**3 - (a + 3) * x**2 + 1
    far = a * (x**3 - 5 * x**2 + 8 * x - 4)
    return np.where(x <= 1, near, np.where(x < 2, far, 0.0))
