"""A part of a picture brought to the sheet's pixels in one resampling, exact to a fraction of a pixel.

Reduced, it is by a Lanczos kernel of three lobes over its full width, in linear light (what mixes in the eye is light:
to average the numbers themselves darkens fine bright detail); enlarged, by a bicubic one. A
correction of placement (a shift, two scales, a turn) is taken into the one affine map where there is one already;
after a reduction it is a second, bicubic step of nearly the same scale. So it is after a reduction by hardly anything,
where the pixels cannot be made to fall on the sheet's own.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import cast

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.card.layout.placed import PlacedPicture
from tackside.card.pixels.conversion import OutputColour, Sharpening, is_wide_enough, sharpened, start_of
from tackside.card.pixels.cover import Affine
from tackside.card.pixels.shared_ground import made_once
from tackside.colour.spaces import lab_to_xyz
from tackside.profile.link.convert import device_to_lab_by_profile, require_usable
from tackside.units import Box, mm_to_px

NEAR_PX = 0.25  # at 600 ppi a hundredth of a mm
LOBES = 3  # of the Lanczos kernel: how many of the result's pixels it reaches to either side
# From so strong a reduction on, as in previews of large pictures, blocks of pixels are averaged first, so that four of
# their means fall to a pixel of the result: the kernel alone would hold hundreds of the picture's rows in memory.
MANY_PX, MEANS = 16.0, 4.0
CONTEXT = 3  # pixels round a part that is enlarged, for the bicubic kernel
FULL = 65535
# LittleCMS works 16-bit ramps through tables of this kind; more steps would show its own grain.
STEPS = 1024

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
    """The part reduced to the sheet's grid, its pixels on the sheet's own or beside them."""
    part, size = placed.part_px, placed.picture.size_px
    left, wide, first_x = _aligned(part.x, part.w, box.x, step[0])
    top, tall, first_y = _aligned(part.y, part.h, box.y, step[1])
    # Past the picture's own edges its last pixels are repeated.
    within = source.crop(*_kept(left, wide, size[0], top, tall, size[1]))
    image, profile = start_of(placed.picture, within)
    image = image.embed(max(-left, 0), max(-top, 0), wide, tall, extend="copy")
    light = _to_light(image, profile).reduce(
        step[0], step[1], kernel="lanczos3", gap=MEANS if min(step) > MANY_PX else 0.0
    )
    bits = 16 if image.format == "ushort" else 8
    done = _from_light(light, profile, bits).copy(interpretation=image.interpretation)
    return (done, (first_x, first_y)), profile


def _to_light(image: pyvips.Image, profile: bytes) -> pyvips.Image:
    """An RGB or grey image of 8 or 16 bits as light, 16 bits."""
    codes = 65536 if image.format == "ushort" else 256
    light = np.interp(np.arange(codes) / (codes - 1), np.arange(STEPS) / (STEPS - 1), _curve(profile))
    return image.maplut(_lut(np.rint(light * FULL).astype(np.uint16)))


def _from_light(image: pyvips.Image, profile: bytes, bits: int) -> pyvips.Image:
    """Light of 16 bits as the profile's numbers, of 8 or 16 bits."""
    curve = _curve(profile)
    # In the darks a step of light is many numbers: between the steps the curve is straight either way.
    numbers = np.interp(np.arange(FULL + 1) / FULL, curve, np.arange(STEPS) / (STEPS - 1))
    if bits == 16:
        return image.maplut(_lut(np.rint(numbers * FULL).astype(np.uint16)))
    return image.maplut(_lut(np.rint(numbers * 255).astype(np.uint8)))


@lru_cache(maxsize=8)
def _curve(profile: bytes) -> NDArray[np.float64]:
    """Light (Y, 0 to 1, of the profile's own white) of STEPS greys from 0 to full; strictly rising.

    One curve for all channels, that of the greys: in matrix profiles, whose channels share a curve, it is that
    curve itself.
    """
    channels = 3 if require_usable(profile) == "RGB" else 1
    greys = np.repeat(np.linspace(0, 1, STEPS)[:, np.newaxis], channels, axis=1)
    light = lab_to_xyz(device_to_lab_by_profile(greys, profile))[:, 1]
    light = np.maximum.accumulate(light - light[0])
    light = light / light[-1] if light[-1] > 0 else np.linspace(0, 1, STEPS)
    # A flat stretch has no way back; the least slope gives it one.
    rising = light + np.linspace(0, 1e-7, STEPS)
    return np.asarray(rising / rising[-1])


def _lut(table: NDArray[np.uint8] | NDArray[np.uint16]) -> pyvips.Image:
    return pyvips.Image.new_from_array(table[np.newaxis, :, np.newaxis])


def _aligned(start: float, length: float, place: float, step: float) -> tuple[int, int, float]:
    """Which stretch of a picture to reduce, (first pixel, count), and where on the sheet the result begins.

    The stretch holds the part and the kernel's reach round it, and may go past the picture. libvips centres the
    result, round(count ÷ step) pixels, on it. Of all stretches that do, the one is taken whose pixels fall nearest to
    the sheet's own.
    """
    reach, slack = math.ceil(LOBES * step), math.ceil(step) + 1
    low, high = math.floor(start) - reach, math.ceil(start + length) + reach
    best = (math.inf, 0, 0, 0.0)
    for first in range(low - slack, low + 1):
        for count in range(high - first, high - first + slack + 1):
            at = place + (first + count / 2 - start) / step - max(1, round(count / step)) / 2
            off = abs(at - round(at))
            if off < best[0] - 1e-9:
                best = (off, first, count, at)
    return best[1:]


def _kept(left: int, wide: int, width: int, top: int, tall: int, height: int) -> tuple[int, int, int, int]:
    """What a picture of (width, height) has of a window: left, top, width, height."""
    x, y = max(left, 0), max(top, 0)
    return x, y, min(left + wide, width) - x, min(top + tall, height) - y


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
