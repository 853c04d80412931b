"""A part of a picture brought to an exact number of pixels in a working space."""

from __future__ import annotations

import math

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.errors import BadImage
from tackside.picture.file.open import Picture
from tackside.profile.icc.working_space import SpaceName
from tackside.units import Box


def pixels_for(
    picture: Picture, part_px: Box, size_px: tuple[int, int], space: SpaceName
) -> NDArray[np.uint8]:
    """The part of a picture as RGB, 8 bits, shape (h, w, 3), in the numbers of ``space``.

    ``part_px`` is in the upright picture's pixels and may fall between them: its corner is met to half a
    pixel of the result. ``size_px`` is (w, h). Reduced by a Lanczos kernel of three lobes, enlarged by a
    bicubic one, in the picture's own numbers. Only the result is held in memory. Raises BadImage where
    decoding fails.
    """
    left, top = max(math.floor(part_px.x), 0), max(math.floor(part_px.y), 0)
    right = min(math.ceil(part_px.right - 1e-9), picture.size_px[0])
    bottom = min(math.ceil(part_px.bottom - 1e-9), picture.size_px[1])
    try:
        cut = picture.stream().crop(left, top, max(right - left, 1), max(bottom - top, 1))
        inside = Box(part_px.x - left, part_px.y - top, part_px.w, part_px.h)
        done = picture.in_space(_resampled(cut, inside, size_px), space)
        if done.format == "ushort":
            done = (done / 257).rint().cast("uchar")
        return np.asarray(done.numpy(), dtype=np.uint8)
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(picture.path)) from error


def _resampled(image: pyvips.Image, part: Box, size_px: tuple[int, int]) -> pyvips.Image:
    """The part at its size. Colour under transparency is weighed by what shows, so that it bleeds into no
    edge.
    """
    if not image.hasalpha():
        return _scaled(image, part, size_px)
    scaled = _scaled(image.premultiply(), part, size_px).unpremultiply()
    return scaled.cast(image.format).copy(interpretation=image.interpretation)


def _scaled(image: pyvips.Image, part: Box, size_px: tuple[int, int]) -> pyvips.Image:
    """Reduce along the axes that shrink, then enlarge along those that grow."""
    width, height = size_px
    scale_x, scale_y = width / part.w, height / part.h
    less_x, less_y = min(scale_x, 1.0), min(scale_y, 1.0)
    if min(less_x, less_y) < 1.0:
        image = image.resize(less_x, vscale=less_y, kernel="lanczos3")
    if max(scale_x, scale_y) > 1.0:
        return _enlarged(
            image, (part.x * less_x, part.y * less_y), (scale_x / less_x, scale_y / less_y), size_px
        )
    x = _kept_inside(round(part.x * less_x), width, image.width)
    y = _kept_inside(round(part.y * less_y), height, image.height)
    image = image.crop(x, y, min(width, image.width), min(height, image.height))
    if (image.width, image.height) == size_px:
        return image
    return image.embed(0, 0, width, height, extend="copy")  # a rounding short by one pixel: repeat the edge


def _enlarged(
    image: pyvips.Image, start: tuple[float, float], scale: tuple[float, float], size_px: tuple[int, int]
) -> pyvips.Image:
    """Bicubic, from ``start`` on, exact to a fraction of a pixel.

    The centre of the result's pixel n shows the source at (n + ½) ÷ scale + start; libvips counts from the
    first pixel's centre, hence the halves. (libvips' own ``resize`` is half a pixel off along an axis that
    stays as it is.)
    """
    shift = [0.5 - 0.5 / each - begin for each, begin in zip(scale, start, strict=True)]
    return image.copy_memory().affine(
        [scale[0], 0, 0, scale[1]],
        idx=shift[0],
        idy=shift[1],
        oarea=[0, 0, *size_px],
        interpolate=pyvips.Interpolate.new("bicubic"),
        extend="copy",
    )


def _kept_inside(start: int, length: int, available: int) -> int:
    return max(0, min(start, available - length))
