"""Ways to bring colours into a gamut: clipped by several aims, or compressed, and what a driver likes to add.

All in CIELAB relative to the paper. The kinds are those that textbooks list (J. Morovič, Color Gamut Mapping, Wiley
2008, chapters 7 and 10); the curves are the examiner's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from tackside.colour.spaces import SRGB, Floats, lab_to_lch, lch_to_lab, rgb_to_lab
from training.examiner.solid import Metric, Solid

Clip = Literal["nearest-76", "nearest-94", "nearest-00", "keep-hue", "keep-lightness", "to-cusp"]
CLIPS: tuple[Clip, ...] = ("nearest-76", "nearest-94", "nearest-00", "keep-hue", "keep-lightness", "to-cusp")
_METRICS: dict[str, Metric] = {
    "nearest-76": "76",
    "nearest-94": "94",
    "nearest-00": "00",
    "keep-hue": "hue",
    "keep-lightness": "light",
}
# Chroma below which a colour is grey, and stays at its lightness even where the gamut ends in a point.
NEUTRAL = 1.5


@dataclass(frozen=True)
class Compression:
    """``knee``: share of the reachable chroma that is left alone; ``past``: chroma of the source, over what is reached,
    that is brought onto the border; ``toe``: how softly blacks end, 0 (straight) to 1; ``shear``: how far each hue's
    richest colour takes the lightness of the card's own.
    """

    knee: float
    past: float
    toe: float
    shear: float = 0.8


@dataclass(frozen=True)
class Flavour:
    """What a driver adds before mapping: ``contrast`` about L* 55, ``chroma`` factor, ``turns``: (hue in degrees,
    width, turn in degrees, chroma factor) for memory colours.
    """

    contrast: float = 0.0
    chroma: float = 1.0
    turns: tuple[tuple[float, float, float, float], ...] = ()

    def added(self, lab: Floats) -> Floats:
        lch = lab_to_lch(lab)
        x = lch[:, 0] / 100.0
        lch[:, 0] = 100.0 * (x + self.contrast * x * (1.0 - x) * (2.0 * x - 1.1))
        gain = np.full(len(lch), self.chroma)
        turned = np.zeros(len(lch))
        for hue, width, turn, rich in self.turns:
            off = (lch[:, 2] - hue + 180.0) % 360.0 - 180.0
            near = np.exp(-0.5 * (off / width) ** 2) * np.clip(lch[:, 1] / 15.0, 0.0, 1.0)
            gain *= 1.0 + (rich - 1.0) * near
            turned += turn * near
        # Strong colours are lifted less than soft ones, as there is less room.
        lch[:, 1] *= 1.0 + (gain - 1.0) * np.exp(-lch[:, 1] / 70.0)
        lch[:, 2] += turned
        return lch_to_lab(lch)


def clipped(solid: Solid, lab: Floats, kind: Clip) -> Floats:
    """Device numbers (n, 3): colours inside stay, others go to the border by ``kind``."""
    if kind in _METRICS:
        return solid.device(lab, _METRICS[kind])
    lab = lab.copy()
    lab[:, 0] = np.clip(lab[:, 0], solid.darkest, 100.0)
    lch = lab_to_lch(lab)
    grey = _anchor(solid, lch)
    return solid.device(_along(lch, grey, np.minimum(_border(solid, lch, grey, 1.0), 1.0)))


def _anchor(solid: Solid, lch: Floats) -> Floats:
    """L* of the grey towards which a colour moves: its own for a grey, halfway from L* 50 to the hue's cusp for a rich
    one.
    """
    cusp = np.clip(0.5 * (50.0 + solid.cusp_lightness(lch[:, 2])), solid.darkest + 5.0, 95.0)
    return np.asarray(lch[:, 0] + (cusp - lch[:, 0]) * np.clip(lch[:, 1] / 45.0, 0.0, 1.0))


def _border(solid: Solid, lch: Floats, grey: Floats, most: float) -> Floats:
    """The share, up to ``most``, of the way from the grey through the colour at which the gamut ends."""
    low, high = np.zeros(len(lch)), np.full(len(lch), most)
    for _ in range(15):
        middle = 0.5 * (low + high)
        light = grey + middle * (lch[:, 0] - grey)
        fits = middle * lch[:, 1] <= solid.chroma_at(light, lch[:, 2]) + NEUTRAL
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return high


def _along(lch: Floats, grey: Floats, share: Floats) -> Floats:
    return lch_to_lab(np.stack([grey + share * (lch[:, 0] - grey), share * lch[:, 1], lch[:, 2]], axis=-1))


def compressed(
    solid: Solid, lab: Floats, how: Compression, flavour: Flavour | None = None, black_at: float = 0.0
) -> Floats:
    """Device numbers (n, 3): lightness ``black_at`` to 100 brought between black and paper; each hue's richest colour
    brought to the lightness of the card's own; then what lies past the knee bent to within the border.
    """
    lab = lab if flavour is None else flavour.added(lab)
    dark = solid.darkest
    x = np.clip((lab[:, 0] - black_at) / (100.0 - black_at), 0.0, 1.0)
    straight = dark + (100.0 - dark) * x
    # A softer toe leaves the lights where they are and bends only what the black is short of.
    soft = 100.0 * x + dark * np.exp(-x * 100.0 / max(dark, 1.0))
    light = (1.0 - how.toe) * straight + how.toe * np.clip(soft, dark, 100.0)
    lch = lab_to_lch(np.column_stack([light, lab[:, 1:]]))
    cusp_light, cusp_chroma = _screen_cusp(lch[:, 2])
    full = np.clip(lch[:, 1] / cusp_chroma, 0.0, 1.0)
    lch[:, 0] += full * how.shear * (solid.cusp_lightness(lch[:, 2]) - cusp_light)
    lch[:, 0] = np.clip(lch[:, 0], dark, 100.0)
    grey = _anchor(solid, lch)
    border = np.maximum(_border(solid, lch, grey, 4.0), 1e-3)
    share = 1.0 / border
    room = 1.0 - how.knee
    over = np.maximum(share - how.knee, 0.0)
    bent = how.knee + room * (1.0 - np.exp(-over / room)) / (1.0 - np.exp(-(how.past - how.knee) / room))
    kept = np.where((share <= how.knee) | (lch[:, 1] < NEUTRAL), 1.0, np.minimum(bent, 1.0) / share)
    return solid.device(_along(lch, grey, kept))


@lru_cache(maxsize=1)
def _screen_cusps() -> Floats:
    """Hue in degrees, rising, with lightness and chroma of sRGB's most saturated colours (n, 3)."""
    corners = [(1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1), (1, 0, 1), (1, 0, 0)]
    places = np.linspace(0.0, 6.0, 361)[:-1]
    rgb = np.column_stack([np.interp(places, range(7), [corner[i] for corner in corners]) for i in range(3)])
    lch = lab_to_lch(rgb_to_lab(rgb, SRGB))
    return np.asarray(lch[np.argsort(lch[:, 2])][:, [2, 0, 1]])


def _screen_cusp(hue: Floats) -> tuple[Floats, Floats]:
    table = _screen_cusps()
    return (
        np.interp(hue, table[:, 0], table[:, 1], period=360.0),
        np.interp(hue, table[:, 0], table[:, 2], period=360.0),
    )
