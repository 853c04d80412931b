"""Cameras of phones: what their filters see, how they balance white, and how they bend the tone.

Sensitivities: two measured ones (National Physical Laboratory, by colour-science) and invented ones near three broad
filters, all with some of each colour in the others. A matrix to sRGB by least squares from a target of natural and
printed colours under daylight, as camera makers do (ISO 17321-1 describes the procedure); the matrix and the white that
a camera takes for granted are never just right. Tone curves: sRGB's own, with contrast, a toe and a shoulder.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from training.examiner.inkjet import draw_inks
from training.examiner.spectra import WAVELENGTHS, WEIGHTS, to_xyz
from training.phone.library import colour
from training.phone.lights import daylight

# XYZ (D50) to linear sRGB: IEC 61966-2-1 adapted by Bradford, as ICC profiles have it.
TO_SRGB: Floats = np.array(
    [
        [3.1338561, -1.6168667, -0.4906146],
        [-0.9787684, 1.9161415, 0.0334540],
        [0.0719453, -0.2289914, 1.4052427],
    ]
)


@dataclass(frozen=True, eq=False)
class Camera:
    """``curves`` (31, 3); ``matrix`` (3, 3): balanced numbers to linear sRGB; ``saturation``, ``contrast``, ``toe``,
    ``shoulder``: of the tone; ``noise``: share of white of one pixel; ``sharpening`` and its radius in pixels."""

    curves: Floats
    matrix: Floats
    saturation: float
    contrast: float
    toe: float
    shoulder: float
    noise: float
    sharpening: float
    local: float

    def seen(self, spectra: Floats, light: Floats) -> Floats:
        """Numbers (n, 3) of reflectances (n, 31) under a light (31,), before white balance."""
        return np.asarray((spectra * light) @ self.curves)

    def balanced(self, seen: Floats, gains: Floats) -> Floats:
        """Linear sRGB (..., 3)."""
        made = seen * gains.astype(np.float32) @ self.matrix.T.astype(np.float32)
        grey = made @ np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
        return np.asarray(grey[..., None] + self.saturation * (made - grey[..., None]))

    def toned(self, linear: Floats) -> Floats:
        """Numbers (..., 3) of the file, 0 to 1: contrast, a toe, a shoulder that ends at white, sRGB's curve."""
        light = np.maximum(linear, 0.0) ** self.contrast
        light = light * light / (light + self.toe)
        knee, steep = self.shoulder, 1.2
        over = np.maximum(light - knee, 0.0) / (1.0 - knee)
        rolled = knee + (1.0 - knee) * (1.0 - np.exp(-steep * over)) / (1.0 - np.exp(-steep))
        light = np.where(light > knee, rolled, light)
        light = np.clip(light, 0.0, 1.0)
        return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1.0 / 2.4) - 0.055)


def draw_camera(rng: np.random.Generator) -> Camera:
    curves = _measured(rng) if rng.random() < 0.3 else _invented(rng)
    leak = np.eye(3) + rng.uniform(0.0, 0.05, (3, 3))
    curves = curves @ leak
    curves /= curves.sum(axis=0)
    return Camera(
        curves=curves,
        matrix=_matrix(rng, curves),
        saturation=float(rng.uniform(0.98, 1.15)),
        contrast=float(rng.uniform(0.98, 1.2)),
        toe=float(rng.uniform(0.0, 0.004)),
        shoulder=float(rng.uniform(0.55, 0.85)),
        noise=float(rng.uniform(0.004, 0.015)),
        sharpening=float(rng.uniform(0.0, 0.8)),
        local=float(rng.uniform(0.0, 0.03)) if rng.random() < 0.4 else 0.0,
    )


def _measured(rng: np.random.Generator) -> Floats:
    names = sorted(colour.MSDS_CAMERA_SENSITIVITIES)
    held = colour.MSDS_CAMERA_SENSITIVITIES[names[int(rng.integers(len(names)))]]
    return np.stack(
        [np.interp(WAVELENGTHS, held.wavelengths, held.values[:, k]) for k in range(3)], axis=-1
    ).clip(0.0)


def _invented(rng: np.random.Generator) -> Floats:
    places = zip(
        rng.normal((598, 535, 460), (7, 6, 6)), rng.uniform((28, 34, 22), (42, 46, 34)), rng.uniform(1.7, 2.6, 3),
        strict=True,
    )  # fmt: skip
    return np.stack(
        [np.exp(-0.5 * np.abs((WAVELENGTHS - at) / width) ** power) for at, width, power in places], axis=-1
    )


def _matrix(rng: np.random.Generator, curves: Floats) -> Floats:
    """From balanced numbers to linear sRGB, white kept; a little off, as one matrix serves all lights."""
    dyes = draw_inks(rng, ("c", "m", "y")).density
    mixtures = np.concatenate([rng.random((160, 3)) * 1.6, np.linspace(0, 1.6, 20)[:, None] * np.ones(3)])
    target = 0.9 * 10.0 ** -(mixtures @ dyes) + 0.002
    light = np.array(daylight(100 * int(rng.integers(50, 68))))
    seen = (target * light) @ curves / (light @ curves)
    wanted = to_xyz(target) @ TO_SRGB.T / (WEIGHTS.sum(axis=0) @ TO_SRGB.T)
    weight = 1.0 / np.maximum(wanted.mean(axis=1), 0.03)[:, None] ** (2.0 / 3.0)
    matrix = np.asarray(np.linalg.lstsq(seen * weight, wanted * weight, rcond=None)[0].T)
    return np.asarray(matrix / (matrix @ np.ones(3))[:, None])
