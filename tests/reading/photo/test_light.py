"""Light and the camera's tone curve, found together."""

from __future__ import annotations

import numpy as np

from tackside.reading.photo.light import Lit, Places, fit_light

PX_PER_MM = 5.0
BLOT = (480.0, 900.0)


def _file_numbers(light: np.ndarray) -> np.ndarray:
    """A tone curve that is not sRGB's: contrast, and a shoulder."""
    bent = 0.18 * (light / 0.18) ** 1.15
    return np.asarray(np.clip(bent / (1.0 + 0.25 * bent), 0.0, 1.0) ** (1.0 / 2.3))


def _light_at(px: np.ndarray, shadow: float = 0.0, blot: float = 0.0) -> np.ndarray:
    """Falls off by 40 % over the picture, warmer on one side; ``shadow`` lies in a band, ``blot`` in a round one."""
    x, y = (px / (2000.0, 1400.0)).T
    amount = 1.0 - 0.4 * (0.7 * x + 0.3 * y)
    if shadow:
        amount = amount * (1.0 - shadow * np.exp(-0.5 * ((px[:, 0] - 500.0) / 60.0) ** 2))
    if blot:
        amount = amount * (1.0 - blot * np.exp(-0.5 * (np.hypot(*(px - BLOT).T) / 150.0) ** 2))
    return np.asarray(
        0.9 * amount[:, None] * np.stack([1.0 + 0.1 * x, np.ones_like(x), 1.0 - 0.15 * x], axis=-1)
    )


def _fitted(
    shadow: float = 0.0,
    blot: float = 0.0,
    white: tuple[float, ...] = (0.82, 0.84, 0.86),
    other: tuple[float, ...] = (0.80, 0.80, 0.70),
) -> Lit:
    """``white`` and ``other``: of the known card, and of the one whose white nobody says."""
    rng = np.random.default_rng(2)
    x, y = np.meshgrid(np.linspace(80, 900, 16), np.linspace(60, 1340, 24))
    bare = np.column_stack([x.ravel(), y.ravel()])
    bare = bare[np.hypot(*(bare - BLOT).T) > 150.0]  # patches stand there
    greys = np.column_stack([np.linspace(200, 780, 24), np.full(24, 900.0)])
    level = np.geomspace(0.01, 0.97 * min(white), 24)[:, None] * np.ones(3)
    parts = [
        (greys, level, level, -1),
        (bare, np.broadcast_to(white, (len(bare), 3)), np.array(white), -1),
        (bare + np.array([1000.0, 0.0]), np.broadcast_to(other, (len(bare), 3)), np.full(3, np.nan), 0),
    ]
    px = np.concatenate([each[0] for each in parts])
    strength = np.concatenate([each[1] for each in parts])
    numbers = _file_numbers(strength * _light_at(px, shadow, blot)) + rng.normal(0.0, 0.001, strength.shape)
    known = np.concatenate([np.broadcast_to(each[2], each[1].shape) for each in parts])
    group = np.concatenate([np.full(len(each[0]), each[3]) for each in parts])
    return fit_light(Places(px, numbers, known, group), PX_PER_MM)


def test_light_and_tone_are_told_apart_on_both_sheets() -> None:
    lit = _fitted()
    rng = np.random.default_rng(3)
    px = rng.uniform((1100, 100), (1900, 1300), (200, 2))
    strength = rng.uniform(0.03, 0.8, (200, 3))
    found = lit.own(px, _file_numbers(strength * _light_at(px)))
    assert np.median(np.abs(np.log(found / strength))) < 0.02
    assert np.percentile(np.abs(np.log(found / strength)), 95) < 0.06
    # The other card's white, of which nothing was said.
    assert np.abs(np.exp(lit.whites[0]) - (0.80, 0.80, 0.70)).max() < 0.02


def test_a_card_whiter_than_the_known_one_is_read_as_white_as_it_is() -> None:
    """Its numbers lie above all whose strength is known; were the tones flattened there, all bare card would be alike
    whatever its light."""
    other = (0.92, 0.92, 0.93)
    lit = _fitted(white=(0.74, 0.73, 0.66), other=other)
    assert np.abs(lit.whites[0] - np.log(other)).max() < 0.01


def test_a_fold_s_shadow_is_evened_where_bare_card_shows_it() -> None:
    lit = _fitted(shadow=0.2)
    px = np.column_stack([np.full(30, 500.0), np.linspace(80, 700, 30)])
    strength = np.full((30, 3), 0.3)
    found = lit.own(px, _file_numbers(strength * _light_at(px, 0.2)))
    # A fifth of the light is gone there, across the greys too.
    assert np.median(np.abs(np.log(found / strength))) < 0.01


def test_light_is_least_sure_where_no_bare_card_shows_it() -> None:
    lit = _fitted(blot=0.2)
    near, far = lit.unsure(np.array([[500.0, 300.0], [500.0, 900.0]]))
    assert far > 1.3 * near
