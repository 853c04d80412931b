"""A decoded picture's channels: the colours, one of transparency where there is one, and nothing else.

A TIFF may hold further channels, which mean no colour and no transparency: saved selections, plates of a spot colour.
libvips hands all of them on, and takes the last for transparency.
"""

from __future__ import annotations

from pathlib import Path

import pyvips

from tackside.files.tiff import extra_channels

# How many of libvips' bands are colours, by its name for what they mean.
COLOURS = {"b-w": 1, "grey16": 1, "cmyk": 4}
TRANSPARENCY = (1, 2)  # TIFF 6.0, section 18: ExtraSamples


def unmeant_channels(image: pyvips.Image, path: Path) -> int:
    """How many channels of the picture in ``path`` are neither a colour nor its transparency."""
    return int(image.bands) - len(_meant(image, path))


def meant_channels(image: pyvips.Image, path: Path) -> pyvips.Image:
    """``image``, decoded from ``path``, with its colours and at most one channel of transparency after them."""
    meant = _meant(image, path)
    if len(meant) == image.bands:
        return image
    colours = image.extract_band(0, n=_colours(image))
    kept = [image.extract_band(each) for each in meant[colours.bands :]]
    return (colours.bandjoin(kept) if kept else colours).copy(interpretation=image.interpretation)


def _colours(image: pyvips.Image) -> int:
    return min(int(image.bands), COLOURS.get(image.interpretation, 3))


def _meant(image: pyvips.Image, path: Path) -> list[int]:
    """The bands that mean a colour, in order, then the one of transparency where there is one."""
    colours = _colours(image)
    beyond = range(colours, image.bands)
    if image.get("vips-loader").startswith("tiff") and (kinds := extra_channels(path)):
        told = [band for band, kind in zip(beyond, kinds, strict=False) if kind in TRANSPARENCY]
    else:
        told = list(beyond)
    return [*range(colours), *told[:1]]
