"""The far shore: ridges that fade with distance, a wooded spit, and boats at their moorings."""

from __future__ import annotations

import numpy as np

from tackside.sheet.scenery.noise import hashed, layered
from tackside.sheet.scenery.sky import HORIZON
from tackside.sheet.scenery.stage import Colour, Stage, between, lay

# height above the horizon, its swing, cells across a picture height, colour at the crest and at the foot
_RIDGES: tuple[tuple[float, float, float, Colour, Colour], ...] = (
    (0.085, 0.09, 1.1, (0.56, 0.60, 0.68), (0.80, 0.72, 0.66)),
    (0.050, 0.07, 1.7, (0.42, 0.47, 0.54), (0.62, 0.58, 0.55)),
    (0.020, 0.06, 2.3, (0.24, 0.33, 0.32), (0.38, 0.42, 0.36)),
)


def paint_ridges(stage: Stage) -> None:
    width = stage.rgb.shape[1]
    for number, (height, swing, cells, crest, foot) in enumerate(_RIDGES):
        profile = layered((1, width), 1, cells * stage.aspect, seed=31 + 7 * number, octaves=9, fade=0.42)[0]
        top = HORIZON - height - (profile - 0.5) * swing * 2.0
        first = max(stage.row(float(top.min())) - 1, 0)
        _, v = stage.axes(first / stage.height, HORIZON)
        rows = slice(first, first + v.shape[0])
        cover = np.clip((v - top[None, :]) * stage.height + 0.5, 0, 1).astype(np.float32)
        depth = np.clip((v - top[None, :]) / 0.09, 0, 1).astype(np.float32)
        colour = between(((0.0, crest), (1.0, foot)), depth)
        if number > 0:  # nearer ridges show their woods
            leaves = layered(
                cover.shape,
                6 + 12 * number,
                (30 + 60 * number) * stage.aspect,
                seed=53 + number,
                octaves=5,
                fade=0.7,
            )
            colour *= 1 + (leaves - np.float32(0.5))[..., None] * np.float32(0.35 * number)
        lay(stage.rgb[rows], cover, colour)


def paint_boats(stage: Stage) -> None:
    """Yachts with bare masts and stays: the finest lines of the picture."""
    a = stage.aspect
    fleet = (
        (0.30 * a, 0.075, (0.93, 0.92, 0.89), (0.62, 0.16, 0.13), 1),
        (0.455 * a, 0.050, (0.20, 0.28, 0.42), (0.92, 0.90, 0.84), -1),
        (0.80 * a, 0.060, (0.90, 0.87, 0.80), (0.16, 0.34, 0.40), -1),
        (0.90 * a, 0.036, (0.86, 0.86, 0.86), (0.75, 0.52, 0.20), 1),
    )
    for u, size, hull, stripe, way in fleet:
        _boat(stage, u, HORIZON + size * 0.10, size, hull, stripe, way)


def _boat(stage: Stage, u: float, water: float, size: float, hull: Colour, stripe: Colour, way: int) -> None:
    def at(x: float, y: float) -> tuple[float, float]:
        return u + way * x * size, water - y * size

    deck = [at(-1.0, 0.34), at(-0.5, 0.29), at(0.2, 0.30), at(1.15, 0.44)]
    keel = [at(0.86, 0.0), at(-0.86, 0.0)]
    stage.fill(deck + keel, hull)
    stage.fill(
        [at(-0.98, 0.24), at(0.2, 0.21), at(1.06, 0.33), at(1.10, 0.38), at(0.2, 0.255), at(-1.0, 0.285)],
        stripe,
    )
    shade = tuple(part * 0.55 for part in hull)
    stage.fill([at(-0.93, 0.12), at(0.2, 0.09), at(0.94, 0.12), *keel], (shade[0], shade[1], shade[2]), 0.65)
    stage.fill([at(-0.45, 0.29), at(-0.36, 0.44), at(0.22, 0.46), at(0.42, 0.31)], (0.88, 0.85, 0.80))
    for window in range(4):
        x = -0.28 + 0.15 * window
        stage.fill([at(x, 0.35), at(x, 0.41), at(x + 0.09, 0.41), at(x + 0.09, 0.35)], (0.12, 0.13, 0.16))
    spar, wire = (0.80, 0.74, 0.64), (0.30, 0.30, 0.32)
    stage.stroke(at(0.10, 0.3), at(0.08, 3.3), 0.030 * size, spar)
    stage.stroke(at(0.10, 0.62), at(-0.86, 0.58), 0.045 * size, spar)
    stage.stroke(at(0.06, 0.69), at(-0.82, 0.65), 0.09 * size, (0.89, 0.85, 0.77))
    stage.stroke(at(0.34, 2.1), at(-0.16, 2.1), 0.014 * size, spar)
    for foot, head in (((1.13, 0.44), 3.25), ((-0.99, 0.34), 3.28), ((0.34, 2.1), 3.2), ((-0.16, 2.1), 3.2)):
        stage.stroke(at(*foot), at(0.08, head), 0.006 * size, wire, 0.9)
    for foot_x, arm in ((0.30, 0.34), (-0.14, -0.16)):
        stage.stroke(at(foot_x, 0.31), at(arm, 2.1), 0.006 * size, wire, 0.9)
    stage.fill([at(0.08, 3.3), at(0.08, 3.16), at(-0.16, 3.23)], stripe)


def paint_town(stage: Stage) -> None:
    """A row of small houses along the water, their windows catching the light."""
    a = stage.aspect
    walls: tuple[Colour, ...] = (
        (0.86, 0.80, 0.70), (0.78, 0.55, 0.42), (0.90, 0.86, 0.80), (0.70, 0.66, 0.60), (0.82, 0.68, 0.50),
    )  # fmt: skip
    draws = hashed((60, 4), 77)
    u, number = 0.04 * a, 0
    while u < 0.26 * a and number < 60:
        wide, tall = 0.016 + 0.016 * float(draws[number, 0]), 0.020 + 0.022 * float(draws[number, 1])
        wall = walls[int(draws[number, 2] * len(walls)) % len(walls)]
        top, foot = HORIZON - tall, HORIZON + 0.001
        stage.fill([(u, top), (u + wide, top), (u + wide, foot), (u, foot)], wall)
        stage.fill(
            [(u, top), (u + wide * 0.35, top), (u + wide * 0.35, foot), (u, foot)], (0.25, 0.25, 0.30), 0.28
        )
        roof = (0.42 + 0.16 * float(draws[number, 3]), 0.27, 0.22)
        stage.fill([(u - 0.001, top), (u + wide / 2, top - wide * 0.45), (u + wide + 0.001, top)], roof)
        for pane in range(2):
            x, y = u + wide * (0.28 + 0.36 * pane), top + tall * 0.25
            glow = (0.99, 0.82, 0.46) if (number + pane) % 3 == 0 else (0.20, 0.22, 0.26)
            stage.fill(
                [(x, y), (x + wide * 0.14, y), (x + wide * 0.14, y + tall * 0.25), (x, y + tall * 0.25)], glow
            )
        u += wide + 0.0015
        number += 1
