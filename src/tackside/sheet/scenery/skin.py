"""Skin: six tones of it on smooth forms in a soft light, since no free photograph of a face asks nobody's leave.

The tones are colours of skin under D50 for the 2° observer. Source: docs/sources.md, S115.
"""

from __future__ import annotations

import numpy as np

from tackside.colour.spaces import SRGB, lab_to_xyz
from tackside.sheet.scenery.noise import Plane, layered

TONES = (
    (80.77, 13.70, 21.83),
    (67.50, 14.93, 15.11),
    (64.39, 16.94, 16.44),
    (52.62, 13.63, 19.97),
    (41.0, 13.0, 17.0),
    (31.0, 11.0, 11.0),
)
_ACROSS, _ROWS = 3, 2
_LIGHT = np.array((-0.46, -0.55, 0.70)) / np.linalg.norm(
    (-0.46, -0.55, 0.70)
)  # from the left, above, in front
_GROUND = 0.16  # of the light that white sends back: a grey wall of L* 47


def paint_skin(width: int, height: int) -> Plane:
    """Six forms, light to dark, in front of a grey wall, as (height, width, 3), 0 to 1, in sRGB."""
    down = np.linspace(0, 1, height, dtype=np.float64)[:, None]
    wall = np.repeat(_GROUND * (1.25 - 0.5 * down), width, axis=1)
    linear = np.repeat(wall[..., None], 3, axis=-1)
    cell_w, cell_h = width / _ACROSS, height / _ROWS
    for number, tone in enumerate(TONES):
        row, column = divmod(number, _ACROSS)
        centre = (column + 0.5) * cell_w, (row + 0.5) * cell_h
        _form(linear, tone, centre, min(0.44 * cell_w, 0.44 * cell_h), number)
    return np.clip(SRGB.encode(linear), 0, 1).astype(np.float32)


def _form(
    linear: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    tone: tuple[float, float, float],
    centre: tuple[float, float],
    radius: float,
    seed: int,
) -> None:
    """A rounded form like a brow: Lambert's cosine, carried past the terminator as skin does, a faint sheen.

    The tone itself is met where the light falls straight on the form.
    """
    height, width = linear.shape[:2]
    x0, x1 = max(int(centre[0] - 1.1 * radius), 0), min(int(centre[0] + 1.1 * radius) + 1, width)
    y0, y1 = max(int(centre[1] - 1.1 * radius), 0), min(int(centre[1] + 1.1 * radius) + 1, height)
    x = (np.arange(x0, x1) + 0.5 - centre[0])[None, :] / radius
    y = (np.arange(y0, y1) + 0.5 - centre[1])[:, None] / radius
    far = np.hypot(x, y)
    z = np.sqrt(np.clip(1 - far**2, 0, 1))
    facing = x * _LIGHT[0] + y * _LIGHT[1] + z * _LIGHT[2]
    lit = np.clip((facing + 0.35) / 1.35, 0, 1) ** 1.3
    bounce = 0.10 * np.clip(y, 0, 1)
    pores = layered(facing.shape, 40, 40, 311 + seed, octaves=3, fade=0.8) - np.float32(0.5)
    share = (0.07 + 0.93 * lit + bounce) * (1 + 0.05 * pores)
    flat = SRGB.from_xyz_d50 @ lab_to_xyz(np.array(tone))
    # Light that has gone deeper into skin comes out redder, most of all where little falls on it.
    warm = np.array((1.0, 0.90, 0.86)) ** ((1 - lit) * 0.9)[..., None]
    half = _LIGHT + np.array((0.0, 0.0, 1.0))
    half /= np.linalg.norm(half)
    sheen = 0.05 * np.clip(x * half[0] + y * half[1] + z * half[2], 0, 1) ** 30
    colour = np.clip(share[..., None] * flat * warm + sheen[..., None], 0, 1)
    cover = np.clip((1 - far) * radius + 0.5, 0, 1)[..., None]
    part = linear[y0:y1, x0:x1]
    part += cover * (colour - part)
