"""A part of a picture brought to the sheet's pixels in one resampling, exact to a fraction of a pixel.

Reduced, it is to the sheet's own pixels, in linear light (what mixes in the eye is light: to average the numbers
themselves darkens fine bright detail); enlarged, by a bicubic kernel. A correction of placement (a shift, two scales, a
turn) is taken into the one affine map where there is one already; after a reduction it is a second, bicubic step of
nearly the same scale.

Pictures that a run shows on card after card, and the ground that they make, are made ready once in a process.
"""

from __future__ import annotations

import math
import struct
import threading
from collections import OrderedDict
from collections.abc import Callable, Collection, Hashable, Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TypeVar, cast

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.card.layout.placed import PlacedPicture
from tackside.card.pixels.conversion import OutputColour, Sharpening, is_wide_enough, sharpened, start_of
from tackside.card.pixels.cover import Affine
from tackside.card.pixels.light import Stretch, reduced_in_light
from tackside.units import Box, mm_to_px

NEAR_PX = 0.25  # at 600 ppi a hundredth of a mm
MARGIN = 3  # pixels of the sheet round a part that is reduced, for a blur's edge and a second resampling
CONTEXT = 3  # pixels round a part that is enlarged, for the bicubic kernel

# Maps (2, 3) that take continuous places on the upright sheet to those on the sheet as fed, by the contents' turn.
TURNS = {0: ((1, 0), (0, 1)), 90: ((0, -1), (1, 0)), 180: ((-1, 0), (0, -1)), 270: ((0, 1), (-1, 0))}


@dataclass(frozen=True, eq=False)
class Upright:
    """A picture's part made ready. ``scale`` and ``start``, each (x, y), take its pixels to pixels of the sheet
    turned so that the picture is upright: place = scale × pixel + start, counted continuously from corners."""

    image: pyvips.Image
    scale: tuple[float, float]
    start: tuple[float, float]

    @cached_property
    def deflated(self) -> bytes:
        """The pixels as a PDF holds them. Raises pyvips.Error."""
        return _deflated(self.image)

    @property
    def is_on_the_grid(self) -> bool:
        """Whether its pixels are pixels of the sheet, or so near that another resampling would cost more."""
        return self.scale == (1.0, 1.0) and all(abs(each - round(each)) <= NEAR_PX for each in self.start)


def made_ready(
    placed: PlacedPicture,
    ppi: float,
    sheet: tuple[int, int],
    colour: OutputColour,
    how: Sharpening | None,
    *,
    keep: bool = True,
) -> Upright:
    """The part that shows, in the output's colours: reduced to the grid, or as fine as it is, and sharpened.

    Sharpening and conversion are done where pixels are fewest; a blur set in mm and an enlargement, both linear, may
    change places. ``sheet`` is (w, h) in pixels. Kept for the next card that shows it, unless ``keep`` is False.
    """
    if not keep:
        return _made_ready(placed, ppi, sheet, colour, how)
    where = (placed.place, ppi, sheet, colour, how)
    return made_once([placed.picture.path], where, lambda: _made_ready(placed, ppi, sheet, colour, how))


def _made_ready(
    placed: PlacedPicture, ppi: float, sheet: tuple[int, int], colour: OutputColour, how: Sharpening | None
) -> Upright:
    box = _upright_box(placed, ppi, sheet)
    step = (placed.part_px.w / box.w, placed.part_px.h / box.h)  # of the picture's pixels, per sheet pixel
    source = placed.picture.stream()
    if min(step) > 1.0:
        ready, profile = _reduced(source, placed, box, step)
        scale, fineness = (1.0, 1.0), ppi
    else:
        ready, profile = _cut_out(source, placed, box, step)
        scale, fineness = (1 / step[0], 1 / step[1]), ppi * step[0]
    image, start = ready
    if how is not None and is_wide_enough(fineness, how):
        image = sharpened(image, fineness, how)
    # Held from here on: it has at most the sheet's pixels, and what is laid over it asks for some of them twice.
    return Upright(colour.of_picture(image, profile).copy_memory(), scale, start)


def _deflated(image: pyvips.Image) -> bytes:
    """The pixels deflated behind PNG's row filters, which PDF reads as they are (ISO 32000-1, clause 7.4.4.4).

    Raises pyvips.Error.
    """
    png = memoryview(cast(bytes, image.pngsave_buffer(compression=6, filter="sub", keep="none")))
    parts, at = [], 8
    while at < len(png):
        length, kind = struct.unpack_from(">I4s", png, at)
        if kind == b"IDAT":
            parts.append(png[at + 8 : at + 8 + length])
        at += 12 + length
    return b"".join(parts)


def on_sheet(
    ready: Upright,
    turn_deg: int,
    correction_px: Affine | None,
    sheet: tuple[int, int],
    window: tuple[int, int, int, int],
) -> pyvips.Image:
    """The pixels of ``window`` (left, top, width, height) of the sheet. ``correction_px`` is an affine in pixels.

    Beyond the picture its edge is repeated: what shows is cut to the picture's box by whoever lays it.
    """
    left, top, width, height = window
    matrix = turned(turn_deg, sheet)
    if correction_px is None and ready.is_on_the_grid:
        return _cut_from_grid(ready, turn_deg, sheet, window)
    if correction_px is not None:
        matrix = joined(correction_px, matrix)
    matrix = joined(
        matrix, np.array([[ready.scale[0], 0, ready.start[0]], [0, ready.scale[1], ready.start[1]]])
    )
    # libvips counts from the first pixel's centre, places here from its corner: hence the halves.
    shift = matrix[:, :2] @ (0.5, 0.5) + matrix[:, 2] - 0.5
    return ready.image.affine(
        matrix[:, :2].ravel().tolist(),
        odx=float(shift[0]),
        ody=float(shift[1]),
        oarea=[left, top, width, height],
        interpolate=pyvips.Interpolate.new("bicubic"),
        extend="copy",
    )


def _upright_box(placed: PlacedPicture, ppi: float, sheet: tuple[int, int]) -> Box:
    """The picture's box in pixels of the sheet turned so that the picture is upright."""
    x, y, w, h = (mm_to_px(length, ppi) for length in placed.box_mm)
    width, height = sheet
    return {
        0: Box(x, y, w, h),
        90: Box(y, width - x - w, h, w),
        180: Box(width - x - w, height - y - h, w, h),
        270: Box(height - y - h, x, h, w),
    }[placed.frame.turn_deg]


Ready = tuple[tuple[pyvips.Image, tuple[float, float]], bytes]


def _cut_out(source: pyvips.Image, placed: PlacedPicture, box: Box, step: tuple[float, float]) -> Ready:
    """The part, a little more round it, and where its corner falls on the upright sheet."""
    part, (width, height) = placed.part_px, placed.picture.size_px
    left, right = max(math.floor(part.x) - CONTEXT, 0), min(math.ceil(part.right) + CONTEXT, width)
    top, bottom = max(math.floor(part.y) - CONTEXT, 0), min(math.ceil(part.bottom) + CONTEXT, height)
    image, profile = start_of(placed.picture, source.crop(left, top, right - left, bottom - top))
    start = (box.x + (left - part.x) / step[0], box.y + (top - part.y) / step[1])
    return (image, start), profile


def _reduced(source: pyvips.Image, placed: PlacedPicture, box: Box, step: tuple[float, float]) -> Ready:
    """The part, and MARGIN round it, reduced to the sheet's own pixels."""
    part = placed.part_px
    x, across = _on_pixels(part.x, box.x, box.right, step[0])
    y, down = _on_pixels(part.y, box.y, box.bottom, step[1])
    left, wide = across.needed(placed.picture.size_px[0])
    top, tall = down.needed(placed.picture.size_px[1])
    image, profile = start_of(placed.picture, source.crop(left, top, wide, tall))
    return (reduced_in_light(image, profile, across.moved(left), down.moved(top)), (x, y)), profile


def _on_pixels(part: float, low: float, high: float, step: float) -> tuple[int, Stretch]:
    """The first of the sheet's pixels from ``low`` to ``high``, with MARGIN, and where they lie on the picture, whose
    place ``part`` falls on ``low``."""
    first = math.floor(low) - MARGIN
    return first, Stretch(part + (first - low) * step, step, math.ceil(high) + MARGIN - first)


def _cut_from_grid(
    ready: Upright, turn_deg: int, sheet: tuple[int, int], window: tuple[int, int, int, int]
) -> pyvips.Image:
    """A window of pixels that are the sheet's own already: turned, cut, edges repeated where it is short."""
    x, y = round(ready.start[0]), round(ready.start[1])
    image, (width, height) = ready.image, sheet
    if turn_deg:
        wide, tall = image.width, image.height
        image = image.rot(f"d{turn_deg}")
        x, y = {
            90: (width - y - tall, x),
            180: (width - x - wide, height - y - tall),
            270: (y, height - x - wide),
        }[turn_deg]
    left, top, wide, tall = window
    return image.embed(x - left, y - top, wide, tall, extend="copy")


def turned(turn_deg: int, sheet: tuple[int, int]) -> NDArray[np.float64]:
    """From the upright sheet to the sheet as fed."""
    width, height = sheet
    shift = {0: (0, 0), 90: (width, 0), 180: (width, height), 270: (0, height)}[turn_deg]
    return np.column_stack([np.array(TURNS[turn_deg], dtype=np.float64), shift])


def joined(second: NDArray[np.float64], first: NDArray[np.float64]) -> NDArray[np.float64]:
    """The affine map (2, 3) that does ``first``, then ``second``."""
    return np.column_stack([second[:, :2] @ first[:, :2], second[:, :2] @ first[:, 2] + second[:, 2]])


MOST_KEPT = 4  # a picture, or a ground, is at most a sheet's pixels: A4 at 600 ppi is 104 MB

Made = TypeVar("Made")
_lock = threading.Lock()
_shown: frozenset[Path] = frozenset()
_kept: OrderedDict[Hashable, object] = OrderedDict()


def expect(pictures: Iterable[Path]) -> None:
    """From now on these files are shown again and again; none: what was kept is let go."""
    global _shown
    with _lock:
        _shown = frozenset(list(pictures)[:MOST_KEPT])
        if not _shown:
            _kept.clear()


def are_expected(pictures: Collection[Path]) -> bool:
    """Whether there are any, and all of them are shown again and again."""
    return bool(pictures) and _shown.issuperset(pictures)


def made_once(pictures: Collection[Path], how: Hashable, make: Callable[[], Made]) -> Made:
    """What ``make`` gives of files as they are now, kept by ``how`` where they are shown again."""
    if not are_expected(pictures):
        return make()
    states = [path.stat() for path in pictures]
    known = tuple((path, now.st_size, now.st_mtime_ns) for path, now in zip(pictures, states, strict=True))
    key = (known, how)
    with _lock:
        found = _kept.get(key)
    if found is None:
        found = make()
        with _lock:
            _kept[key] = found
            while len(_kept) > MOST_KEPT:
                _kept.popitem(last=False)
    return found  # type: ignore[return-value]  # the key leads to what its own ``make`` gave
