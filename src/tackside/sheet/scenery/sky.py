"""The evening sky: a long smooth gradient, the glow where the sun has just been, clouds lit from below."""

from __future__ import annotations

import numpy as np

from tackside.sheet.scenery.noise import Plane, layered, step
from tackside.sheet.scenery.stage import Stage, between, lay

HORIZON = 0.47
_SCALE = (
    (0.00, (0.17, 0.33, 0.54)),
    (0.35, (0.36, 0.54, 0.71)),
    (0.62, (0.66, 0.76, 0.81)),
    (0.82, (0.95, 0.83, 0.69)),
    (1.00, (0.99, 0.74, 0.52)),
)


def sun_at(stage: Stage) -> tuple[float, float]:
    return stage.aspect * 0.63, HORIZON - 0.035


def paint_sky(stage: Stage) -> None:
    u, v = stage.axes(0, HORIZON)
    sky = stage.rgb[: v.shape[0]]
    sky[...] = between(_SCALE, v / np.float32(HORIZON))
    sun_u, sun_v = sun_at(stage)
    distance = np.sqrt((u - np.float32(sun_u)) ** 2 * np.float32(0.55) + (v - np.float32(sun_v)) ** 2)
    lay(sky, np.asarray(0.75 * np.exp(-((distance / 0.20) ** 2)), dtype=np.float32), (1.0, 0.86, 0.62))
    lay(sky, np.asarray(np.exp(-((distance / 0.055) ** 2)), dtype=np.float32), (1.0, 0.97, 0.86))
    _clouds(stage, v, distance)


def _clouds(stage: Stage, v: Plane, distance: Plane) -> None:
    shape = (v.shape[0], stage.rgb.shape[1])
    wisps = layered(shape, 5, 2.2 * stage.aspect, seed=11, octaves=8, fade=0.55)
    # The same field a little nearer to the light tells the lit underside from the dark body.
    offset = max(round(0.012 * stage.height), 1)
    below = np.roll(wisps, -offset, axis=0)
    below[-offset:] = wisps[-1:]
    lit = step(-0.035, 0.06, wisps - below)
    low = np.asarray(v / np.float32(HORIZON), dtype=np.float32)
    thick = step(0.53, 0.74, wisps + np.float32(0.05) * (low - np.float32(0.5)))
    thick *= step(0.03, 0.25, low) * (1 - step(0.88, 1.0, low))
    warm = np.exp(-((distance / 0.42) ** 2)).astype(np.float32)[..., None]
    body = (
        np.array((0.56, 0.57, 0.65), np.float32) * (1 - warm)
        + np.array((0.78, 0.58, 0.52), np.float32) * warm
    )
    bright = (
        np.array((0.95, 0.91, 0.89), np.float32) * (1 - warm) + np.array((1.0, 0.88, 0.68), np.float32) * warm
    )
    lay(stage.rgb[: v.shape[0]], thick * np.float32(0.85), body + lit[..., None] * (bright - body))
