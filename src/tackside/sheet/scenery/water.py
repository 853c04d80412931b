"""The water: the upper picture turned over, broken by ripples that grow towards the viewer."""

from __future__ import annotations

import cv2
import numpy as np

from tackside.sheet.scenery.noise import Plane, layered, step
from tackside.sheet.scenery.sky import HORIZON, sun_at
from tackside.sheet.scenery.stage import Stage, lay

QUAY = 0.735


def paint_water(stage: Stage) -> None:
    """From the horizon to the quay; needs everything above it to be painted."""
    u, v = stage.axes(HORIZON, QUAY + 0.01)
    shape = (v.shape[0], stage.rgb.shape[1])
    near = np.asarray((v - np.float32(HORIZON)) / np.float32(QUAY - HORIZON), dtype=np.float32)
    ripple = _ripples(stage, shape, near)
    first = stage.row(HORIZON)
    # Mirrored about the horizon, squeezed a little, shaken by the ripples.
    rows = first - (v * stage.height - first) * 1.25 + ripple * (4 + 60 * near) * stage.height / 900
    columns = np.broadcast_to(u * stage.height, shape) + (ripple * (2 + 16 * near)) * stage.height / 900
    mirror = _remapped(stage.rgb[:first], columns, np.clip(rows, 0, first - 1))
    water = mirror * np.array((0.82, 0.90, 0.93), np.float32)
    lay(water, 0.10 + 0.42 * near * np.ones_like(ripple), (0.09, 0.24, 0.29))
    water *= (1 + ripple * (0.10 + 0.35 * near))[..., None]
    _glitter(stage, water, u, near, ripple)
    stage.rgb[first : first + shape[0]] = np.clip(water, 0, 1)


def _ripples(stage: Stage, shape: tuple[int, int], near: Plane) -> Plane:
    """Waves about −0.5 to 0.5, drawn small far off and large close by: rows are taken at 1 ÷ distance."""
    flat = (shape[0], shape[1])
    waves = layered(flat, 34, 9 * stage.aspect, seed=91, octaves=6, fade=0.62) - np.float32(0.5)
    depth = np.log1p(near * 9.0) / np.log(10.0) * (shape[0] - 1)
    x = np.broadcast_to(np.arange(shape[1], dtype=np.float32)[None, :], shape)
    middle = np.float32(shape[1] / 2)
    spread = middle + (x - middle) / (0.35 + 0.9 * near)
    return _remapped(waves, spread, np.broadcast_to(depth, shape))


def _remapped(source: Plane, columns: Plane, rows: Plane) -> Plane:
    """The source read at those pixel places, linearly between pixels, mirrored beyond its sides."""
    at_x, at_y = (np.ascontiguousarray(places, dtype=np.float32) for places in (columns, rows))
    read = cv2.remap(
        np.asarray(source, dtype=np.float32), at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT
    )
    return np.asarray(read, dtype=np.float32)


def _glitter(stage: Stage, water: Plane, u: Plane, near: Plane, ripple: Plane) -> None:
    sun_u, _ = sun_at(stage)
    reach = np.exp(-(((u - np.float32(sun_u)) / (0.05 + 0.16 * near)) ** 2)).astype(np.float32)
    sparks = step(0.06, 0.16, ripple) * reach * np.float32(0.85) * (1 - np.float32(0.45) * near)
    lay(water, sparks.astype(np.float32), (1.0, 0.90, 0.70))
