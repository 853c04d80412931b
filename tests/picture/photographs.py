"""Photographs that scikit-image ships, none of a person (freely licensed, by the docstrings of ``skimage.data``)."""

from __future__ import annotations

import warnings
from pathlib import Path

from PIL import Image

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import skimage

FOLDER = Path(skimage.__file__).parent / "data"
SHARP = ("chelsea.png", "coffee.png", "rocket.jpg", "grass.png", "coins.png", "motorcycle_right.png")


def photograph(name: str) -> Image.Image:
    return Image.open(FOLDER / name).convert("RGB")


def enlarged(image: Image.Image, factor: float, how: Image.Resampling) -> Image.Image:
    return image.resize((round(image.width * factor), round(image.height * factor)), how)
