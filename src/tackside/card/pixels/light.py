"""A picture reduced in linear light, by a Lanczos kernel of three lobes over its full width, to any pixel grid.

To light, reduction and back are one loop over the picture's rows, of which no more are held than the kernel reaches. It
reckons in 32-bit floats and rounds once, at the end: the darks and what the kernel throws below nothing keep their
light from one axis to the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.colour.spaces import lab_to_xyz
from tackside.profile.link.convert import device_to_lab_by_profile, require_usable
from tackside.tasks.machine_code import loop

LOBES = 3  # of the Lanczos kernel: how many of the result's pixels it reaches to either side
# From so strong a reduction on, as in previews of large pictures, rows are averaged first, so that four of their means
# fall to a row of the result: the kernel alone would hold hundreds of the picture's rows in memory.
MANY_PX, MEANS = 16.0, 4.0
BAND_BYTES = 1 << 19  # of rows decoded at once; they are still near at hand when they are taken to light
# LittleCMS works 16-bit ramps through tables of this kind; more steps would show its own grain.
STEPS = 1024
# Steps of the square root of light on the way back, for numbers of 8 and 16 bits: in the darks, where a step of light
# is many numbers, it is nearly the number itself.
ROOTS = {8: 1 << 12, 16: 1 << 16}


@dataclass(frozen=True)
class Stretch:
    """Where an axis' ``count`` pixels of the result lie on the picture: from ``begin``, a place of its pixels counted
    continuously from their edges, each ``step`` (at least 1) wide."""

    begin: float
    step: float
    count: int

    def needed(self, size: int) -> tuple[int, int]:
        """The first of the picture's pixels within the kernel's reach and how many they are, of ``size``."""
        reach = LOBES * self.step
        low = min(max(math.floor(self.begin - reach), 0), size - 1)
        high = max(min(math.ceil(self.begin + self.count * self.step + reach), size), low + 1)
        return low, high - low

    def moved(self, by: float, scale: float = 1.0) -> Stretch:
        """The same, counted from the place ``by`` in units of ``scale`` pixels."""
        return Stretch((self.begin - by) / scale, self.step / scale, self.count)


def reduced_in_light(image: pyvips.Image, profile: bytes, across: Stretch, down: Stretch) -> pyvips.Image:
    """An RGB or grey image of 8 or 16 bits, reduced; read once and from the top.

    Past the image's own edges its last pixels are repeated. Raises pyvips.Error.
    """
    if image.bands == 1:
        grey = image.bandjoin([image, image])
        return reduced_in_light(grey, profile, across, down)[0].copy(interpretation=image.interpretation)
    width, height = image.width, image.height
    block = int(down.step / MEANS) if down.step > MANY_PX else 1
    means = -(-height // block)
    first_x, share_x = _shares(across, width)
    first_y, share_y = _shares(down.moved(0, block), means)
    rows, wide = share_y.shape[1], width * 3
    share_y = np.pad(share_y, ((0, 0), (0, (2 - rows) % 4)))  # as the loop adds them up
    ready = first_y + rows  # so many means complete a row of the result
    numbers = np.dtype(np.uint16 if image.format == "ushort" else np.uint8)
    light, back = _to_light(profile, numbers), _from_light(profile, numbers)
    held = np.zeros((rows, wide), np.float32)
    line, sums = np.empty(wide + 3, np.float32), np.empty(across.count * 3 + 3, np.float32)
    line[wide:] = 0
    out = np.empty((down.count, across.count, 3), numbers)
    flat = out.reshape(down.count, -1)
    take_in = loop(
        "tackside.card.pixels.light_kernel", "reduce_rows",
        flat, 0, light, held, block, first_y, share_y, 0, first_x, share_x, back, line, sums, flat,
    )  # fmt: skip
    band = max(BAND_BYTES // (wide * numbers.itemsize), 1)
    region = pyvips.Region.new(image)
    for top in range(0, height, band):
        count = min(band, height - top)
        pixels = np.frombuffer(region.fetch(0, top, width, count), numbers).reshape(count, wide)
        if top + count == height and block > 1:  # the last mean has its full number of rows
            pixels = np.pad(pixels, ((0, means * block - height), (0, 0)), mode="edge")
        done = int(np.searchsorted(ready, top // block, side="right"))
        take_in(
            pixels, top, light, held, block, first_y, share_y, done, first_x, share_x, back, line, sums, flat
        )
    return pyvips.Image.new_from_array(out).copy(interpretation=image.interpretation)


def _shares(stretch: Stretch, size: int) -> tuple[NDArray[np.uint64], NDArray[np.float32]]:
    """Of each pixel of the result the first of the picture's pixels, (count,), and from there on their shares, (count,
    taps), which add up to one. What is past the picture's edge goes to its last pixel."""
    centre = stretch.begin + (np.arange(stretch.count) + 0.5) * stretch.step
    low = np.ceil(centre - LOBES * stretch.step - 0.5).astype(np.int64)
    pixel = low[:, np.newaxis] + np.arange(math.floor(2 * LOBES * stretch.step) + 1)
    away = (pixel + 0.5 - centre[:, np.newaxis]) / stretch.step
    # C. E. Duchon, Lanczos Filtering in One and Two Dimensions, 1979 (docs/sources.md, S209).
    shares = np.where(np.abs(away) < LOBES, np.sinc(away) * np.sinc(away / LOBES), 0.0)
    shares /= shares.sum(axis=1, keepdims=True)
    taps = min(pixel.shape[1], size)
    first = np.clip(low, 0, size - taps)
    kept = np.zeros((stretch.count, taps))
    np.add.at(
        kept,
        (np.arange(stretch.count)[:, np.newaxis], np.clip(pixel, 0, size - 1) - first[:, np.newaxis]),
        shares,
    )
    return first.astype(np.uint64), kept.astype(np.float32)


@lru_cache(maxsize=16)
def _to_light(profile: bytes, numbers: np.dtype[np.unsignedinteger]) -> NDArray[np.float32]:
    """The light, 0 to 1, of each of the profile's numbers of 8 or 16 bits."""
    codes = np.arange(np.iinfo(numbers).max + 1)
    steps = np.arange(STEPS) / (STEPS - 1)
    light: NDArray[np.float32] = np.interp(codes / codes[-1], steps, curve(profile)).astype(np.float32)
    return light


@lru_cache(maxsize=16)
def _from_light(profile: bytes, numbers: np.dtype[np.unsignedinteger]) -> NDArray[np.float32]:
    """At each step of light's square root from 0 to 1 the number, with the half that rounds it, and its rise to the
    next, (steps + 1, 2)."""
    steps = np.arange(STEPS) / (STEPS - 1)
    light = np.linspace(0, 1, ROOTS[8 * numbers.itemsize] + 1) ** 2
    number = np.interp(light, curve(profile), steps) * np.iinfo(numbers).max
    both: NDArray[np.float32] = np.stack([number + 0.5, np.append(np.diff(number), 0)], axis=1).astype(
        np.float32
    )
    return both


@lru_cache(maxsize=8)
def curve(profile: bytes) -> NDArray[np.float64]:
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
