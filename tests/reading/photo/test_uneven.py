"""Light that is not even, and phones that change a place by what lies around it."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.photo.band import find_band
from tackside.reading.photo.local import STRENGTHS, surroundings, taken_back
from tackside.reading.photo.samples import linear

PER_MM = 8.0


def _places(rng: np.random.Generator) -> np.ndarray:
    return np.column_stack([rng.uniform(0, 2400, 500), rng.uniform(0, 1600, 500)])


@pytest.mark.parametrize(
    ("turn_deg", "wide_mm", "deep"), [(0.0, 5.0, 0.25), (62.0, 12.0, 0.08), (100.0, 8.0, 0.15)]
)
def test_a_band_of_shadow_is_found_where_it_lies(turn_deg: float, wide_mm: float, deep: float) -> None:
    rng = np.random.default_rng(3)
    px, turn = _places(rng), np.radians(turn_deg)
    along = (px - (1200.0, 800.0)) @ (np.cos(turn), np.sin(turn))
    light = np.log(1.0 - deep * np.exp(-0.5 * (along / (wide_mm * PER_MM)) ** 2))
    off = light[:, None] + 0.01 * rng.standard_normal((500, 3))
    band = find_band(px, off, np.full(500, 0.01), PER_MM)
    assert band is not None
    across = np.array([(1200.0, 800.0), (1200.0 + 900 * np.cos(turn), 800.0 + 900 * np.sin(turn))])
    assert band.over(across)[0] == pytest.approx(np.log(1.0 - deep), abs=0.02)
    assert band.over(across)[1] == pytest.approx(0.0, abs=0.01)
    assert band.wide / PER_MM == pytest.approx(wide_mm, rel=0.15)


def test_even_light_holds_no_band() -> None:
    for seed in range(5):
        rng = np.random.default_rng(seed)
        px = _places(rng)
        assert find_band(px, 0.01 * rng.standard_normal((500, 3)), np.full(500, 0.01), PER_MM) is None


def test_a_brighter_band_is_no_shadow() -> None:
    px = _places(np.random.default_rng(1))
    light = 0.2 * np.exp(-0.5 * ((px[:, 0] - 1200.0) / 60.0) ** 2)
    assert find_band(px, np.repeat(light[:, None], 3, axis=1), np.full(500, 0.01), PER_MM) is None


def test_what_a_phone_does_by_surroundings_is_taken_back() -> None:
    own, near = np.linspace(0.03, 0.8, 12)[:, None] * np.ones(3), np.full((12, 3), 0.6)
    for strength in STRENGTHS:
        seen = own + strength * (own - near)
        encoded = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
        assert linear(taken_back(encoded, near, strength)) == pytest.approx(own, abs=1e-6)


def test_surroundings_are_the_mean_of_light_and_not_of_numbers() -> None:
    pixels = np.zeros((1200, 1600, 3), dtype=np.uint8)
    pixels[:, np.arange(1600) % 4 < 2] = 255  # half of it white
    assert surroundings(pixels).at(np.array([[800.0, 600.0]]))[0] == pytest.approx(np.full(3, 0.5), abs=0.03)
