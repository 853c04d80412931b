"""The subjects beside the harbour, most telling first: photographs as shipped, skin and gradients as painted.

Where the photographs come from, and that anyone may use them for anything: ``photographs/README.md``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from importlib import resources

import cv2
import numpy as np
from PIL import Image

from tackside.sheet.scenery.gradients import paint_gradients
from tackside.sheet.scenery.noise import Plane
from tackside.sheet.scenery.skin import paint_skin

Draw = Callable[[int, int], Plane]


@dataclass(frozen=True)
class Subject:
    """``draw`` takes width and height in pixels and gives the picture as (height, width, 3), 0 to 1, in sRGB."""

    name: str
    caption: str
    draw: Draw


def photograph(name: str, width: int, height: int) -> Plane:
    """A shipped photograph that fills the size, cropped evenly, smoothly enlarged or made smaller."""
    with (resources.files("tackside.sheet") / "photographs" / f"{name}.webp").open("rb") as stream:
        pixels = np.asarray(Image.open(stream).convert("RGB"), dtype=np.float32) / np.float32(255)
    rows, columns = pixels.shape[:2]
    scale = max(width / columns, height / rows)
    wide, tall = min(round(width / scale), columns), min(round(height / scale), rows)
    left, top = (columns - wide) // 2, (rows - tall) // 2
    part = np.ascontiguousarray(pixels[top : top + tall, left : left + wide])
    way = cv2.INTER_CUBIC if scale > 1 else cv2.INTER_AREA
    return np.clip(cv2.resize(part, (width, height), interpolation=way), 0, 1)


SUBJECTS = (
    Subject("skin", "skin", paint_skin),
    Subject("fur", "fur", partial(photograph, "fur")),
    Subject("shadows", "deep shadows", partial(photograph, "shadows")),
    Subject("food", "food", partial(photograph, "food")),
    Subject("high-key", "high key", partial(photograph, "high-key")),
    Subject("leaves", "leaves", partial(photograph, "leaves")),
    Subject("fabric", "fabric", partial(photograph, "fabric")),
    Subject("stone", "stone", partial(photograph, "stone")),
    Subject("gradients", "gradients", paint_gradients),
    Subject("feathers", "feathers", partial(photograph, "feathers")),
)
_BY_NAME = {each.name: each for each in SUBJECTS}


def subject(name: str) -> Subject | None:
    """The subject of that name; None for the harbour."""
    return _BY_NAME.get(name)
