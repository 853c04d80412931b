"""One pass through all pixels of a picture at full size: what is clipped, what is transparent, where detail ends.

A reduced picture would hide all three. The file is read in strips, from the top, once: memory holds a strip and a
hundred tiles, whatever the picture's size.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.errors import BadImage
from tackside.files.tiff import meant_channels
from tackside.picture.check.spectrum import Detail, detail_of
from tackside.profile.link.convert_picture import image_of

TILE = 256
SMALL_TILE = 128  # for pictures with an edge under two large tiles
MOST_TILES = 96
# Within one 8-bit level of an end: JPEG leaves that much doubt about what was clipped.
SLACK = 1
Values = NDArray[np.uint8] | NDArray[np.uint16]

LUMA = np.array([0.299, 0.587, 0.114])  # Rec. ITU-R BT.601, as JPEG weighs it


@dataclass(frozen=True)
class Clipped:
    """Shares of the pixels that show, 0 to 1: each channel at its end, all at once, and the largest of the former."""

    channels: tuple[float, ...]
    all_channels: float

    @property
    def worst_channel(self) -> float:
        return max(self.channels)


@dataclass(frozen=True)
class Survey:
    """``highlights`` and ``shadows`` are None where the numbers are no RGB or grey; ``transparent`` is the share
    of pixels through which anything shines; ``detail`` is None where nothing can be told."""

    highlights: Clipped | None
    shadows: Clipped | None
    transparent: float
    detail: Detail | None


class _Counts:
    def __init__(self, channels: int) -> None:
        self.seen = 0
        self.clear = 0
        self.high, self.low = np.zeros(channels, np.int64), np.zeros(channels, np.int64)
        self.all_high = self.all_low = 0

    def add(self, colour: Values, alpha: Values | None, top: int) -> None:
        slack = SLACK * (top // 255)
        # Channel by channel, each brought together: of interleaved pixels one compare takes as long as this whole.
        planes: list[NDArray[Any]] = [
            np.ascontiguousarray(colour[..., channel]) for channel in range(colour.shape[2])
        ]
        high, low = [plane >= top - slack for plane in planes], [plane <= slack for plane in planes]
        if alpha is not None:
            self.clear += int(np.count_nonzero(alpha < top))
            shows = alpha > 0
            high, low = [each & shows for each in high], [each & shows for each in low]
            self.seen += int(np.count_nonzero(shows))
        else:
            self.seen += colour.shape[0] * colour.shape[1]
        self.high += [np.count_nonzero(each) for each in high]
        self.low += [np.count_nonzero(each) for each in low]
        self.all_high += int(np.count_nonzero(np.logical_and.reduce(high)))
        self.all_low += int(np.count_nonzero(np.logical_and.reduce(low)))

    def clipped(self, channels: NDArray[np.int64], together: int) -> Clipped:
        seen = max(self.seen, 1)
        return Clipped(tuple(float(count) / seen for count in channels), together / seen)


def survey(path: Path) -> Survey:
    """Look at every pixel of a picture that ``open_picture`` has taken. Raises BadImage where decoding fails."""
    try:
        image = image_of(path, access="sequential", fail_on="truncated")
        image = meant_channels(image, path)
        if image.format not in ("uchar", "ushort"):
            image = image.colourspace("rgb16")
        return _survey(image)
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(path)) from error


def _survey(image: pyvips.Image) -> Survey:
    top = 65535 if image.format == "ushort" else 255
    channels = image.bands - int(image.hasalpha())
    edge = TILE if min(image.width, image.height) >= 2 * TILE else SMALL_TILE
    wanted = _tile_places(image.width, image.height, edge)
    counts = _Counts(channels)
    # Made at once: small blocks kept between the strips would leave no room for the next strip where the last lay.
    tiles = np.zeros((sum(map(len, wanted.values())), edge, edge))
    filled = 0
    for y, strip in _strips(image, edge):
        colour = strip[..., :channels]
        counts.add(colour, strip[..., channels] if image.hasalpha() else None, top)
        for x in wanted.get(y, ()):
            tiles[filled] = _luminance(colour[:, x : x + edge], top)
            filled += 1
    additive = channels in (1, 3) and image.interpretation not in ("lab", "labs", "cmyk")
    return Survey(
        highlights=counts.clipped(counts.high, counts.all_high) if additive else None,
        shadows=counts.clipped(counts.low, counts.all_low) if additive else None,
        transparent=counts.clear / (image.width * image.height),
        detail=detail_of(tiles) if filled else None,
    )


def _strips(image: pyvips.Image, rows: int) -> Iterator[tuple[int, Values]]:
    """(top, pixels (rows, width, bands)) from the top down.

    By one region, which keeps what a sequential decoder has read beyond a strip: parts asked for one by one would throw
    that away, and a file whose own strips are taller could not be read on.
    """
    region = pyvips.Region.new(image)
    shallow = image.format == "uchar"
    for y in range(0, image.height, rows):
        height = min(rows, image.height - y)
        data = region.fetch(0, y, image.width, height)
        strip = np.frombuffer(data, np.uint8) if shallow else np.frombuffer(data, np.uint16)
        yield y, strip.reshape(height, image.width, image.bands)


def _tile_places(width: int, height: int, edge: int) -> dict[int, list[int]]:
    """Left edges of the tiles by their top, evenly spread over the picture, at most ``MOST_TILES``."""
    places = [(y, x) for y in range(0, height - edge + 1, edge) for x in range(0, width - edge + 1, edge)]
    step = max(1, -(-len(places) // MOST_TILES))
    chosen: dict[int, list[int]] = {}
    for y, x in places[::step]:
        chosen.setdefault(y, []).append(x)
    return chosen


def _luminance(colour: Values, top: int) -> Floats:
    """Luminance in 8-bit levels, (h, w)."""
    values = np.asarray(colour, dtype=np.float64) * (255 / top)
    return np.asarray(values @ LUMA if values.shape[2] == 3 else values.mean(axis=2))
