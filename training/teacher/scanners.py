"""Scanners and instruments to teach on, in figures only: what is left of a reading's colours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import ADOBE_RGB, SRGB, Floats, RgbSpace, lab_to_xyz, xyz_to_lab
from tackside.press.scanner.scanner_profile import SCANNER_RGB
from training.teacher.device import CENTRES, own_way

_TO_RGB = SCANNER_RGB.from_xyz_d50
_TO_XYZ = np.linalg.inv(_TO_RGB)
_REACH = 0.35
# Noise of a pixel's light, how many of a patch are drawn, and the share cut off from which on a patch counts as cut.
_PIXEL, _PIXELS, _LOST = 0.004, 12, 0.05


@dataclass(frozen=True)
class Eyeglass:
    """One device. ``mix`` (3, 3) of its channels, ``tone`` (3,) exponents on light, ``glare``: share of the sheet's
    mean light in every reading, ``stray``: of a neighbour's; ``gain``: of all; ``drift``: sd from sheet to sheet;
    ``filters`` (24, 3): CIELAB by which its filters miss the eye's, smoothly over colours; ``noise`` in CIELAB;
    ``de00``: the uncertainty that such a reading states; ``colorimetric``: an instrument, or a scanner characterised as
    well as one. ``space``: that of its file, which cuts off what lies outside; None where it holds all.
    """

    mix: Floats
    tone: Floats
    glare: float
    stray: float
    gain: float
    drift: float
    noise: float
    filters: Floats
    de00: float
    colorimetric: bool
    space: RgbSpace | None = None

    def read(self, lab: Floats, rng: np.random.Generator) -> tuple[Floats, bool]:
        """CIELAB (n, 3) read of CIELAB (n, 3), and whether the file cut any of it off."""
        light = lab_to_xyz(lab) @ _TO_RGB.T
        beside = light[np.random.default_rng(len(light)).permutation(len(light))]
        light = light + self.stray * rng.random((len(light), 1)) * (beside - light)
        light = light + self.glare * (light.mean(axis=0) - light)
        tone = self.tone * (1 + self.drift * rng.standard_normal())
        seen = np.maximum(light @ self.mix.T, 1e-6) ** tone * self.gain
        seen = seen * (1 + self.drift * rng.standard_normal(3))
        found = xyz_to_lab(np.maximum(seen @ _TO_XYZ.T, 1e-6))
        place = np.clip(seen, 0.0, 1.0) ** (1 / 2.2)
        far = ((place[:, None] - CENTRES) ** 2).sum(axis=-1)
        found = found + np.exp(-0.5 * far / _REACH**2) @ self.filters
        found = found + self.noise * rng.standard_normal(found.shape)
        return (np.asarray(found), False) if self.space is None else _held(found, self.space, rng)


def _held(lab: Floats, space: RgbSpace, rng: np.random.Generator) -> tuple[Floats, bool]:
    """What is left of colours in a file whose space is narrow: each pixel of a patch is cut off by itself."""
    pixels = lab_to_xyz(lab)[:, None] @ space.from_xyz_d50.T
    pixels = pixels + _PIXEL * rng.standard_normal((len(lab), _PIXELS, 3))
    inside = np.clip(pixels, 0.0, 1.0)
    lost = ((pixels < 0.0) | (pixels > 1.0)).mean(axis=1).max(axis=-1) > _LOST
    return np.asarray(xyz_to_lab(inside.mean(axis=1) @ np.linalg.inv(space.from_xyz_d50).T)), bool(lost.any())


def eyeglass(rng: np.random.Generator) -> Eyeglass:
    """An instrument, a flatbed as it comes, or one that was characterised."""
    way = rng.choice(3, p=[0.3, 0.5, 0.2])
    none = np.zeros((len(CENTRES), 3))
    if way == 0:
        return Eyeglass(np.eye(3), np.ones(3), 0.0, 0.0, 1.0, 0.001, rng.uniform(0.05, 0.3), none, 0.5, True)
    rough = 1.0 if way == 1 else float(rng.uniform(0.15, 0.35))
    talk = rng.uniform(-0.04, 0.11, (3, 3))
    np.fill_diagonal(talk, 0.0)
    mix = np.eye(3) + rough * (talk - np.diag(talk.sum(axis=1)))
    tone = 1 + rough * (rng.uniform(-0.09, 0.07) + rng.normal(0, 0.012, 3))
    return Eyeglass(
        mix,
        tone,
        # Flatbeds let one to four per cent of the sheet's light stray (common practice, no source).
        rough * float(0.05 * rng.random() ** 1.3),
        float(rng.uniform(0.0, 0.004)),
        1 + rough * float(rng.normal(0, 0.012)),
        0.004,
        float(rng.uniform(0.1, 0.5)),
        own_way(rough * float(rng.uniform(0.0, 4.0)), rng),
        3.0 if way == 1 else float(rng.uniform(0.8, 1.8)),
        way == 2,
        # Most save to sRGB, or without a profile, which is taken for it (common practice, no source).
        (SRGB, SRGB, ADOBE_RGB, None)[rng.integers(4)] if way == 1 else None,
    )
