"""The picture put together, from the sky to the boards in front."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.sheet.scenery.foliage import paint_branch
from tackside.sheet.scenery.gulls import paint_gulls
from tackside.sheet.scenery.noise import Plane, hashed
from tackside.sheet.scenery.shore import paint_boats, paint_ridges, paint_town
from tackside.sheet.scenery.sky import paint_sky
from tackside.sheet.scenery.stage import Stage
from tackside.sheet.scenery.still_life import paint_boards, paint_fruits
from tackside.sheet.scenery.water import paint_water

# A photograph is printed at some 300 ppi; beyond this many pixels the scene is painted smaller and enlarged.
_MOST_PIXELS = 6_000_000


def paint(width: int, height: int) -> Plane:
    """The scene as (height, width, 3), 0 to 1, encoded as sRGB."""
    shrink = min(1.0, (_MOST_PIXELS / (width * height)) ** 0.5)
    small = max(round(height * shrink), 16), max(round(width * shrink), 16)
    stage = Stage(np.zeros((*small, 3), dtype=np.float32))
    paint_sky(stage)
    paint_ridges(stage)
    paint_town(stage)
    paint_boats(stage)
    paint_water(stage)
    paint_boards(stage)
    paint_fruits(stage)
    paint_gulls(stage)
    paint_branch(stage)
    if small == (height, width):
        return stage.rgb
    return np.clip(cv2.resize(stage.rgb, (width, height), interpolation=cv2.INTER_CUBIC), 0, 1)


def to_bytes_dithered(rgb: Plane) -> NDArray[np.uint8]:
    """8 bits with half a step of even noise, so that long gradients show no bands of the file's own."""
    noise = hashed(rgb.shape[:2], 7)[..., None]
    return np.clip(np.floor(rgb * np.float32(255) + noise), 0, 255).astype(np.uint8)
