"""The quay in front: weathered boards, and on them eggs in the tones of skin, a lemon, a tomato and plums."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from tackside.sheet.scenery.noise import Plane, hashed, layered, step
from tackside.sheet.scenery.stage import Colour, Stage, lay
from tackside.sheet.scenery.water import QUAY

_LIGHT = (0.52, -0.66, 0.54)  # towards the lamp: right, up, to the viewer; unit length to two decimals


@dataclass(frozen=True)
class Fruit:
    """A body of revolution lying on the boards: ``point`` draws one end out, as an egg's or a lemon's."""

    u: float
    v: float
    radius: float
    stretch: float
    tilt: float
    colour: Colour
    gloss: float
    point: float = 0.12
    speckle: float = 0.0


# Plums, eggs, a lemon and a tomato; u counts from the picture's middle.
_LYING = (
    Fruit(-0.66, 0.868, 0.058, 1.00, 0.0, (0.31, 0.14, 0.27), 0.55, 0.0, 0.05),
    Fruit(-0.53, 0.885, 0.052, 0.97, 0.0, (0.26, 0.12, 0.25), 0.55, 0.0, 0.05),
    Fruit(-0.355, 0.880, 0.067, 1.26, 0.5, (0.38, 0.235, 0.165), 0.16, 0.14, 0.06),
    Fruit(-0.195, 0.866, 0.068, 1.27, -0.35, (0.59, 0.385, 0.275), 0.16, 0.14, 0.06),
    Fruit(-0.045, 0.896, 0.070, 1.28, 0.2, (0.77, 0.555, 0.425), 0.14, 0.14, 0.05),
    Fruit(0.125, 0.868, 0.068, 1.27, -0.6, (0.88, 0.70, 0.58), 0.14, 0.14, 0.04),
    Fruit(0.285, 0.892, 0.067, 1.26, 0.4, (0.96, 0.85, 0.77), 0.12, 0.14, 0.03),
    Fruit(0.48, 0.872, 0.070, 1.30, -0.2, (0.97, 0.80, 0.16), 0.35, -0.2, 0.16),
    Fruit(0.645, 0.886, 0.062, 0.95, 0.0, (0.82, 0.14, 0.08), 0.75, 0.0, 0.03),
)


def fruits(stage: Stage) -> list[Fruit]:
    """Spread about the middle, smaller where the picture is narrow, so that all of them are in it."""
    scale = min(1.0, stage.aspect / 1.55)
    return [
        replace(fruit, u=stage.aspect / 2 + fruit.u * scale, radius=fruit.radius * scale) for fruit in _LYING
    ]


def paint_boards(stage: Stage) -> None:
    u, v = stage.axes(QUAY, 1.0)
    shape = (v.shape[0], stage.rgb.shape[1])
    depth = np.asarray((v - QUAY) / (1 - QUAY), dtype=np.float32)
    grain = layered(shape, 22, 1.6 * stage.aspect, seed=141, octaves=6, fade=0.66)
    cloud = layered(shape, 3, 4 * stage.aspect, seed=151, octaves=4)
    fibre = layered(shape, 130, 16 * stage.aspect, seed=161, octaves=3, fade=0.8)
    cracks = step(0.60, 0.66, layered(shape, 60, 2.4 * stage.aspect, seed=181, octaves=4, fade=0.6))
    tone = 0.64 + 0.50 * (grain - 0.5) + 0.34 * (cloud - 0.5) + 0.26 * (fibre - 0.5) - 0.16 * cracks
    boards = tone[..., None] * np.array((0.80, 0.68, 0.55), np.float32)
    edge = 0.0
    for number, wide in enumerate((0.16, 0.22, 0.28, 0.34)):
        tint = 0.90 + 0.20 * float(hashed((8,), 171)[number])
        inside = (depth >= edge) & (depth < edge + wide)
        boards *= np.where(inside, np.float32(tint), np.float32(1))[..., None]
        gap = np.exp(-(((depth - edge) / (0.010 + 0.004 * number)) ** 2)).astype(np.float32)
        boards *= (1 - np.float32(0.88) * gap)[..., None]
        shine = np.exp(-(((depth - edge - 0.022) / 0.010) ** 2)).astype(np.float32)
        boards += (np.float32(0.10) * shine)[..., None]
        edge += wide
    _nails(stage, boards)
    # Evening light from the right; at the lower left it falls into deep shadow that still holds the grain.
    across = np.asarray(u / np.float32(stage.aspect), dtype=np.float32)
    dusk = step(0.0, 0.75, across + np.float32(0.55) * (1 - depth) - np.float32(0.12))
    boards *= (np.float32(0.07) + np.float32(0.98) * dusk)[..., None]
    stage.rgb[stage.row(QUAY) : stage.row(QUAY) + shape[0]] = np.clip(boards, 0, 1)


def _nails(stage: Stage, boards: Plane) -> None:
    """Two heads to a joist in each board, dark with a lit rim."""
    size = stage.height
    for place in range(int(stage.aspect / 0.62) + 1):
        for v in (0.752, 0.784, 0.822, 0.905, 0.945):
            x, y = (0.31 + 0.62 * place) * size, (v - QUAY) * size
            r = 0.0042 * size * (0.7 + (v - QUAY) * 1.8)
            x0, y0 = max(int(x - 3 * r), 0), max(int(y - 3 * r), 0)
            window = boards[y0 : int(y + 3 * r) + 1, x0 : int(x + 3 * r) + 1]
            if window.size == 0:
                continue
            xs = np.arange(x0, x0 + window.shape[1], dtype=np.float32)[None, :] + 0.5 - x
            ys = np.arange(y0, y0 + window.shape[0], dtype=np.float32)[:, None] + 0.5 - y
            far = np.sqrt(xs**2 + (ys * 1.5) ** 2) / r
            lay(window, (0.75 * (1 - step(0.8, 1.2, far))).astype(np.float32), (0.13, 0.11, 0.10))
            glint = np.sqrt((xs - 0.3 * r) ** 2 + (ys * 1.5 + 0.35 * r) ** 2) / r
            lay(window, (0.5 * (1 - step(0.1, 0.5, glint))).astype(np.float32), (0.70, 0.62, 0.54))


def paint_fruits(stage: Stage) -> None:
    shown = [fruit for fruit in fruits(stage) if 0.02 < fruit.u < stage.aspect - 0.02]
    for fruit in shown:
        _shadow(stage, fruit)
    for number, fruit in enumerate(sorted(shown, key=lambda fruit: fruit.v)):
        _body(stage, fruit, 201 + number)


def _window(
    stage: Stage, left: float, top: float, right: float, bottom: float
) -> tuple[slice, slice, Plane, Plane]:
    size = stage.height
    x0, x1 = max(int(left * size), 0), min(int(right * size) + 1, stage.rgb.shape[1])
    y0, y1 = max(int(top * size), 0), min(int(bottom * size) + 1, size)
    u = ((np.arange(x0, x1, dtype=np.float32) + 0.5) / size)[None, :]
    v = ((np.arange(y0, y1, dtype=np.float32) + 0.5) / size)[:, None]
    return slice(y0, y1), slice(x0, x1), u, v


def _shadow(stage: Stage, fruit: Fruit) -> None:
    """Soft and long to the left, dark and tight where the fruit touches the boards."""
    r = fruit.radius
    foot = fruit.v + r * 0.93
    rows, columns, u, v = _window(stage, fruit.u - 5.5 * r, foot - 1.6 * r, fruit.u + 2.4 * r, foot + 1.2 * r)
    window = stage.rgb[rows, columns]
    along = (u - fruit.u) / r
    for shift, long, tall, dark in (
        (-1.6, 2.9, 0.46, 0.66),
        (-0.55, 1.7, 0.30, 0.66),
        (-0.12, 1.02, 0.15, 0.8),
    ):
        far = np.sqrt(((along - shift) / long) ** 2 + ((v - foot + 0.06 * r) / (r * tall)) ** 2)
        lay(window, (np.float32(dark) * (1 - step(0.2, 1.1, far.astype(np.float32)))), (0.045, 0.03, 0.035))


def _body(stage: Stage, fruit: Fruit, seed: int) -> None:
    r = fruit.radius
    reach = r * max(fruit.stretch, 1) * 1.25
    rows, columns, u, v = _window(stage, fruit.u - reach, fruit.v - reach, fruit.u + reach, fruit.v + reach)
    cos, sin = math.cos(fruit.tilt), math.sin(fruit.tilt)
    a = ((u - fruit.u) * cos + (v - fruit.v) * sin) / (r * fruit.stretch)
    b = (-(u - fruit.u) * sin + (v - fruit.v) * cos) / r
    if fruit.point > 0:
        b = b / (1 - fruit.point * a)
    else:  # a lemon's nose at both ends
        a = a / (1 - fruit.point * np.exp(-((b / 0.22) ** 2)))
    squared = a * a + b * b
    height = np.sqrt(np.clip(1 - squared, 0, 1))
    nx, ny = a * cos - b * sin, a * sin + b * cos
    soft = 1.3 / (r * stage.height)
    cover = np.clip((1 - np.sqrt(squared)) / soft + 0.5, 0, 1).astype(np.float32)
    lay(stage.rgb[rows, columns], cover, _shaded(fruit, nx, ny, height, seed))


def _shaded(fruit: Fruit, nx: Plane, ny: Plane, nz: Plane, seed: int) -> Plane:
    """Lambert's cosine wrapped a little round the terminator, the boards' bounce, the sky, a highlight."""
    facing = nx * _LIGHT[0] + ny * _LIGHT[1] + nz * _LIGHT[2]
    lit = np.clip((facing + 0.28) / 1.28, 0, 1) ** 1.25
    bounce = np.clip(ny, 0, 1) * 0.20
    sky = np.clip(-ny * 0.5 + 0.5, 0, 1) * 0.10
    base = np.asarray(fruit.colour, np.float32)
    warm = np.array((1.06, 1.0, 0.90), np.float32)
    colour = base * (
        0.13 + 0.95 * lit[..., None] * warm + bounce[..., None] * np.array((1.1, 0.85, 0.65), np.float32)
    )
    colour += sky[..., None] * np.array((0.45, 0.62, 0.85), np.float32) * 0.35
    if fruit.speckle:
        pores = layered(nx.shape, 40, 40, seed, octaves=4, fade=0.8) - np.float32(0.5)
        colour *= (1 + pores * np.float32(fruit.speckle))[..., None]
    half = np.array((_LIGHT[0], _LIGHT[1], _LIGHT[2] + 1.0))
    half /= np.linalg.norm(half)
    mirror = np.clip(nx * half[0] + ny * half[1] + nz * half[2], 0, 1)
    shine = fruit.gloss * mirror ** (18 + 90 * fruit.gloss)
    colour += shine[..., None] * np.array((1.0, 0.96, 0.88), np.float32)
    return np.asarray(np.clip(colour, 0, 1), dtype=np.float32)
