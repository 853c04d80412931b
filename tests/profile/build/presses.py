"""Two printers of unlike physics, held out from all tuning of the profile builder. All figures are invented.

``halftone_press``: dots of four inks, seen as the areas of 16 overprints whose spectra spread in the paper (Yule and
Nielsen), black ink from a threshold on, a limit to all ink. ``dye_press``: six dyes that soak into the paper, their
absorption adding up (Kubelka and Munk) under a surface that reflects (Saunderson), light dyes giving way to full ones.
Both take RGB as a driver would; neither shares a line with the virtual press of the package.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.stats import qmc

from tackside.colour.spectral import spectra_to_lab

BANDS = np.arange(400.0, 701.0, 10.0)


def bump(centre: float, width: float, height: float = 1.0) -> np.ndarray:
    return height * np.exp(-(((BANDS - centre) / width) ** 2))


def paper(lightness: float, warmth: float) -> np.ndarray:
    """Reflectance of a paper: nearly flat, rolling off at the blue end, ``warmth`` tilting it."""
    return (lightness + warmth * (BANDS - 550) / 300) * (1 - 0.25 * np.exp(-(BANDS - 390) / 14))


def halftone_press(rgb: np.ndarray) -> np.ndarray:
    """CIELAB D50 (n, 3) of RGB (n, 3), 0 to 1."""
    ink = 1 - np.asarray(rgb, dtype=float)
    common = ink.min(axis=1)
    black = np.clip((common - 0.35) / 0.65, 0, 1) ** 1.7
    cmy = np.clip(ink - 0.55 * black[:, None], 0, 1) ** np.array([1.25, 1.15, 1.05])
    total = cmy.sum(axis=1) + black
    most = 3.0
    cmy *= np.where(total > most, (most - black) / np.maximum(total - black, 1e-9), 1.0)[:, None]
    tones = np.column_stack([cmy, black])
    tones = (
        tones + np.array([0.62, 0.66, 0.55, 0.5]) * tones * (1 - tones) ** 1.3
    )  # dots grow, most below the half
    solid = np.array(
        [
            10 ** -(bump(625, 80, 1.25) + bump(430, 60, 0.18)),
            10 ** -(bump(545, 52, 1.30) + bump(430, 50, 0.35)),
            10 ** -(bump(430, 55, 1.20) + bump(520, 30, 0.12)),
            np.full(len(BANDS), 10**-1.15),
        ]
    )
    n = 1.7
    light = np.zeros((len(tones), len(BANDS)))
    for overprint in range(16):
        on = np.array([overprint >> number & 1 for number in range(4)], dtype=bool)
        area = np.prod(np.where(on, tones, 1 - tones), axis=1)
        # Inks on inks trap less than they would on paper.
        density = -np.log10(solid[on]).sum(axis=0) * (1 - 0.06 * max(on.sum() - 1, 0))
        spectrum = 0.012 + paper(0.86, 0.02) * 10**-density
        light += area[:, None] * spectrum ** (1 / n)
    return spectra_to_lab(light**n, BANDS)


def dye_press(rgb: np.ndarray) -> np.ndarray:
    """CIELAB D50 (n, 3) of RGB (n, 3), 0 to 1."""
    values = np.asarray(rgb, dtype=float)
    linear = np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)
    wanted = -np.log10(0.018 + 0.982 * linear) / -np.log10(0.018)  # dye by density, not by area
    wanted = wanted**2  # little dye darkens paper by its square root: drivers even their tones
    split = 1 / (1 + np.exp(-(wanted[:, :2] - 0.3) / 0.09))  # light dyes below, full ones above
    light, full = wanted[:, :2] * (1 - split), wanted[:, :2] * split
    absorption = (
        light[:, [0]] * bump(630, 75, 3.4)
        + light[:, [1]] * bump(548, 48, 3.6)
        + full[:, [0]] * (bump(640, 70, 4.6) + bump(420, 60, 0.5))
        + full[:, [1]] * (bump(552, 46, 5.0) + bump(440, 45, 0.9))
        + wanted[:, [2]] * (bump(435, 50, 4.4) + bump(500, 25, 0.4))
    )
    white = paper(0.90, -0.015)
    ratio = (1 - white) ** 2 / (2 * white) + absorption
    inside = 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)
    surface, within = 0.009, 0.45  # reflected outside, and held back inside
    seen = surface + (1 - surface) * (1 - within) * inside / (1 - within * inside)
    return spectra_to_lab(seen * 0.95, BANDS)


PRESSES = {"halftone": halftone_press, "dye": dye_press}


@cache
def chart(count: int) -> np.ndarray:
    """Device numbers (about ``count``, 3): greys, corners, edges, faces, the rest spread inside."""
    greys = np.linspace(0, 1, max(16, count // 20))[:, None].repeat(3, axis=1)
    three = np.array([0.0, 0.5, 1.0])
    lattice = np.stack(np.meshgrid(three, three, three, indexing="ij"), axis=-1).reshape(-1, 3)
    left = count - len(greys) - len(lattice) + 3
    spread = qmc.Sobol(3, seed=4).random(2048)[:left]
    rows = np.arange(left * 2 // 5)
    spread[rows, rows % 3] = rows // 3 % 2
    return np.unique(np.concatenate([greys, lattice, spread]).round(4), axis=0)


def grid(side: int) -> np.ndarray:
    axis = np.linspace(0, 1, side)
    return np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)


def read(press: str, device: np.ndarray, noise: float, seed: int = 1) -> np.ndarray:
    """CIELAB of patches, each of L*, a*, b* with ``noise`` (one standard deviation)."""
    lab = PRESSES[press](device)
    return lab + noise * np.random.default_rng(seed).standard_normal(lab.shape)
