"""Tackside's own perceptual rendering: the source's range drawn smoothly into a device's, no colours lost in a clump.

In media-relative CIELAB (white is 100, 0, 0), in this order:

1. **Toe.** Lightness keeps its place down to four times the device's black L* and bends from there in a parabola
   that meets black, so that shadows lose contrast little by little and midtones none.
2. **Knee.** On the ray from the middle of the grey axis through a colour, let R be how far the source reaches and
   r how far the device does. Where R > r, what lies within STRETCH × r − R stays, and the rest up to R is drawn into
   what is left up to r, by a rational curve whose slope falls STRETCH² fold from its start to its end; where R is more
   than STRETCH × r, all of the ray is drawn in. A ray from the grey axis keeps the hue angle.
3. Near the grey axis the knee fades out (GREY_CHROMA), so that greys and near-whites keep their balance.

The source is taken to be sRGB unless told otherwise; colours beyond it are drawn in further and clipped at last as the
relative intent does. A saturation rendering asks for more ``stretch``, which leaves more colours where they are, and
for ``gain``: where the device reaches beyond the source, colours are moved out along the ray by up to that factor, the
more the farther out they lie. Neither intent is specified by ISO 15076-1: other makers' differ.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import SRGB, Floats, RgbSpace, lab_to_lch, lab_to_xyz
from tackside.profile.gamut.gamut_solid import GamutSolid

STRETCH = 2.0
GREY_CHROMA = 12.0
TOE_REACH = 4.0
HUES, ELEVATIONS = 72, 37
COARSE_STEP, RAY_STEP, FARTHEST = 4.0, 0.25, 160.0
Inside = Callable[[Floats], NDArray[np.bool_]]


def toe(lightness: Floats, black_l: float) -> Floats:
    """Lightness 0 to 100 of the source as lightness ``black_l`` to 100 of the device; rising, smooth."""
    if black_l <= 0:
        return lightness
    knee = min(TOE_REACH * black_l, 100.0)
    start = 1 - 2 * black_l / knee  # the slope at black; a half where there is room
    below = black_l + start * lightness + (1 - start) / (2 * knee) * lightness**2
    return np.where(lightness < knee, below, lightness)


@dataclass(frozen=True, eq=False)
class Compression:
    """How far source and device reach from ``centre_l`` on the grey axis: tables (hue, elevation) in ΔE*ab."""

    black_l: float
    centre_l: float
    source: Floats
    device: Floats
    stretch: float = STRETCH
    gain: float = 1.0

    def __call__(self, lab: Floats) -> Floats:
        """Media-relative source colours (n, 3) as media-relative colours that the device about holds."""
        return self.squeeze(np.column_stack([toe(np.clip(lab[:, 0], 0, 100), self.black_l), lab[:, 1:]]))

    def squeeze(self, toned: Floats) -> Floats:
        """The knee alone: colours (n, 3) whose lightness the toe has brought between black and white."""
        away = toned - [self.centre_l, 0, 0]
        radius = np.linalg.norm(away, axis=1)
        spots = _spots(away)
        far, near = _between(self.source, spots), _between(self.device, spots)
        knee = np.clip((self.stretch * near - far) / (self.stretch - 1), 0, None)
        beyond = (radius > knee) & (far > near * (1 + 1e-6))
        part = (radius - knee) / np.maximum(far - knee, 1e-9)
        bend = np.minimum((far - knee) / np.maximum(near - knee, 1e-9), self.stretch)
        drawn = knee + (near - knee) * bend * part / (1 + (bend - 1) * part)
        lift = np.clip(near / far, 1.0, self.gain)
        moved_out = 1 + (lift - 1) * np.minimum(radius / far, 1) ** 2
        scale = np.where(beyond, drawn / np.maximum(radius, 1e-9), moved_out)
        chroma2 = np.sum(away[:, 1:] ** 2, axis=1)
        felt = chroma2 / (chroma2 + GREY_CHROMA**2)
        return np.asarray(toned + away * ((scale - 1) * felt)[:, None])


def compression_into(solid: GamutSolid, black_l: float, sources: Sequence[RgbSpace] = (SRGB,)) -> Compression:
    """The compression from ``sources``, as far as any of them reaches, into ``solid``, media-relative, with black at
    ``black_l``.
    """
    centre = (100 + black_l) / 2
    source = np.max([_reach(_holds_toned_source(black_l, space), centre) for space in sources], axis=0)
    # Every second node is enough for a reach, and fills its lattice in a third of the time.
    coarse = GamutSolid(tuple(grid[::2, ::2, ::2] for grid in solid.grids))
    return Compression(black_l, centre, source, _reach(coarse.holds, centre))


def _holds_toned_source(black_l: float, space: RgbSpace) -> Inside:
    """Whether colours lie inside a working space with its lightness brought up by the toe."""
    lightness = np.linspace(0, 100, 2001)
    toned = toe(lightness, black_l)

    def inside(lab: Floats) -> NDArray[np.bool_]:
        first = np.interp(lab[..., 0], toned, lightness)
        light = lab_to_xyz(np.concatenate([first[..., None], lab[..., 1:]], axis=-1)) @ space.from_xyz_d50.T
        between = (lab[..., 0] >= toned[0]) & (lab[..., 0] <= toned[-1])
        return np.asarray(between & np.all((light >= 0) & (light <= 1), axis=-1))

    return inside


def _reach(inside: Inside, centre_l: float) -> Floats:
    """How far colours reach on each ray from the centre, to the first gap: (HUES, ELEVATIONS), to within RAY_STEP."""
    hue = np.radians(np.arange(HUES) * 360 / HUES)[:, None]
    up = np.radians(np.linspace(-90, 90, ELEVATIONS))[None, :]
    ways = np.stack(
        np.broadcast_arrays(np.sin(up), np.cos(up) * np.cos(hue), np.cos(up) * np.sin(hue)), axis=-1
    )
    middle = np.array([centre_l, 0.0, 0.0])
    steps = np.arange(0, FARTHEST, COARSE_STEP)
    held = inside(ways[..., None, :] * steps[:, None] + middle)
    first_out = np.where(held.all(axis=-1), len(steps) - 1, np.argmin(held, axis=-1))
    far = np.maximum(first_out, 1) * COARSE_STEP
    near = far - COARSE_STEP
    while np.max(far - near) > RAY_STEP:  # halve the step that holds the edge
        half = (near + far) / 2
        out = ~inside(ways * half[..., None] + middle)
        near, far = np.where(out, near, half), np.where(out, half, far)
    return np.asarray(np.maximum((near + far) / 2, RAY_STEP))


def _spots(away: Floats) -> tuple[Floats, Floats]:
    """Where rays fall in the tables: hue and elevation in steps."""
    lch = lab_to_lch(away)
    elevation = np.degrees(np.arctan2(away[:, 0], lch[:, 1]))
    return lch[:, 2] * HUES / 360, (elevation + 90) * (ELEVATIONS - 1) / 180


def _between(table: Floats, spots: tuple[Floats, Floats]) -> Floats:
    """Bilinear, the hue going round."""
    hue, up = spots
    h, e = np.floor(hue).astype(int), np.minimum(np.floor(up).astype(int), ELEVATIONS - 2)
    u, v = hue - h, up - e
    here, there = h % HUES, (h + 1) % HUES
    return np.asarray(
        (1 - u) * ((1 - v) * table[here, e] + v * table[here, e + 1])
        + u * ((1 - v) * table[there, e] + v * table[there, e + 1])
    )
