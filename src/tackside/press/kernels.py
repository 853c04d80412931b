"""The loops over pixels that plain arrays would make too slow. Each has its plain form in the tests."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

Pixels = NDArray[np.float32]
_ROOT_2 = np.float32(np.sqrt(2.0))


@njit(cache=True, nogil=True)
def _look_up_row(row: Any, table: Any, out: Any) -> None:
    last = table.shape[0] - 2
    scale = np.float32(table.shape[0] - 1) / np.float32(255.0)
    for x in range(row.shape[0]):
        if x > 0 and row[x, 0] == row[x - 1, 0] and row[x, 1] == row[x - 1, 1] and row[x, 2] == row[x - 1, 2]:
            out[x, 0], out[x, 1], out[x, 2] = out[x - 1, 0], out[x - 1, 1], out[x - 1, 2]
            continue
        pr, pg, pb = row[x, 0] * scale, row[x, 1] * scale, row[x, 2] * scale
        r, g, b = min(int(pr), last), min(int(pg), last), min(int(pb), last)
        fr, fg, fb = pr - np.float32(r), pg - np.float32(g), pb - np.float32(b)
        # The two corners between the near and the far one, and the sorted fractions.
        r1, g1, b1, r2, g2, b2 = r, g, b, r + 1, g + 1, b + 1
        if fr >= fg and fr >= fb:
            r1, high = r + 1, fr
        elif fg >= fb:
            g1, high = g + 1, fg
        else:
            b1, high = b + 1, fb
        if fb <= fg and fb <= fr:
            b2, low = b, fb
        elif fg <= fr:
            g2, low = g, fg
        else:
            r2, low = r, fr
        middle = fr + fg + fb - high - low
        for i in range(3):
            root = (
                (np.float32(1.0) - high) * table[r, g, b, i]
                + (high - middle) * table[r1, g1, b1, i]
                + (middle - low) * table[r2, g2, b2, i]
                + low * table[r + 1, g + 1, b + 1, i]
            )
            out[x, i] = root * root * root


@njit(cache=True, nogil=True)
def _spread_row(above: Any, here: Any, below: Any, spread: Any, out: Any) -> None:
    """Dark grows into light by ``spread`` px, 0 to 1: the slope towards the dark, upwind, times the way.

    The scheme of E. Rouy and A. Tourin, SIAM Journal on Numerical Analysis 29, 1992, held at the darkest
    neighbour; what it holds back on a slanting edge goes on to the pixel beyond, across the corner.
    """
    width = here.shape[0]
    none = np.float32(0.0)
    corner = max(spread * _ROOT_2 - np.float32(1.0), none)
    for x in range(width):
        left, right = max(x - 1, 0), min(x + 1, width - 1)
        for i in range(3):
            mid = here[x, i]
            across = max(mid - min(here[left, i], here[right, i]), none)
            along = max(mid - min(above[x, i], below[x, i]), none)
            drop = min(spread * np.sqrt(across * across + along * along), max(across, along))
            far = min(min(above[left, i], above[right, i]), min(below[left, i], below[right, i]))
            out[x, i] = mid - max(drop, corner * (mid - far))


@njit(cache=True, nogil=True, parallel=True)
def lay_down(image: Any, table: Any, spread: Any, shrink: int, out: Any) -> None:
    """Look up each pixel of ``image`` (h, w, 3) uint8, let ink creep, average blocks of pixels.

    ``spread``: float32, px of ``image``, 0 to 1. ``out``: (⌈h / shrink⌉, ⌈w / shrink⌉, 3) float32 XYZ,
    where ``shrink`` is a block's side; a block cut by the image's edge averages what there is of it.
    """
    height, width = image.shape[0], image.shape[1]
    rows, columns = out.shape[0], out.shape[1]
    band = 32
    for part in prange((rows + band - 1) // band):
        window = np.empty((3, width, 3), np.float32)
        crept = np.empty((width, 3), np.float32)
        first, last = part * band, min((part + 1) * band, rows)
        top, bottom = first * shrink, min(last * shrink, height)
        _look_up_row(image[max(top - 1, 0)], table, window[(top + 2) % 3])
        _look_up_row(image[top], table, window[top % 3])
        for y in range(top, bottom):
            _look_up_row(image[min(y + 1, height - 1)], table, window[(y + 1) % 3])
            _spread_row(window[(y + 2) % 3], window[y % 3], window[(y + 1) % 3], spread, crept)
            row = y // shrink
            tall = min((row + 1) * shrink, height) - row * shrink
            fresh = y == row * shrink
            for column in range(columns):
                begin, end = column * shrink, min((column + 1) * shrink, width)
                share = np.float32(1.0) / np.float32(tall * (end - begin))
                for i in range(3):
                    total = np.float32(0.0)
                    for x in range(begin, end):
                        total += crept[x, i]
                    out[row, column, i] = total * share + (np.float32(0.0) if fresh else out[row, column, i])


@njit(cache=True, nogil=True, parallel=True)
def creep(xyz: Any, spread: Any, out: Any) -> None:
    """Ink creeps once more: ``xyz`` (h, w, 3) float32 to ``out``, by ``spread``, float32, 0 to 1."""
    height = xyz.shape[0]
    for y in prange(height):
        _spread_row(xyz[max(y - 1, 0)], xyz[y], xyz[min(y + 1, height - 1)], spread, out[y])


@njit(cache=True, nogil=True, parallel=True)
def wet_fields(image: Any, wetness: Any, shrink: int, out: Any) -> None:
    """How wet the field around each pixel is: of its neighbours the driest, of a block the driest pixel.

    ``image`` (h, w, 3) uint8; ``wetness`` (32, 32, 32) uint8 by the upper five bits of R, G and B; ``out``
    (⌈h / shrink⌉, ⌈w / shrink⌉) uint8.
    """
    height, width = image.shape[0], image.shape[1]
    for row in prange(out.shape[0]):
        top, bottom = max(row * shrink - 1, 0), min((row + 1) * shrink + 1, height)
        for column in range(out.shape[1]):
            least = np.uint8(255)
            for y in range(top, bottom):
                for x in range(max(column * shrink - 1, 0), min((column + 1) * shrink + 1, width)):
                    here = wetness[image[y, x, 0] >> 3, image[y, x, 1] >> 3, image[y, x, 2] >> 3]
                    least = min(least, here)
            out[row, column] = least


@njit(cache=True, nogil=True, parallel=True)
def creep_into_wet(xyz: Any, wet: Any, uneven: Any, way: Any, out: Any) -> None:
    """Ink creeps into fields that are wet: ``xyz`` (h, w, 3) float32 to ``out``, as ``creep`` does.

    ``wet`` (h, w) uint8, 255 wholly wet; ``way`` float32, px at full wetness, times the share in ``uneven``
    (n, n) float32, which is repeated all over the sheet.
    """
    height, width = xyz.shape[0], xyz.shape[1]
    none, full = np.float32(0.0), np.float32(255.0)
    tile = uneven.shape[0]
    for y in prange(height):
        above, here, below = xyz[max(y - 1, 0)], xyz[y], xyz[min(y + 1, height - 1)]
        for x in range(width):
            left, right = max(x - 1, 0), min(x + 1, width - 1)
            far = way * np.float32(wet[y, x]) / full * uneven[y % tile, x % tile]
            for i in range(3):
                mid = here[x, i]
                across = max(mid - min(here[left, i], here[right, i]), none)
                along = max(mid - min(above[x, i], below[x, i]), none)
                drop = far * np.sqrt(across * across + along * along)
                out[y, x, i] = mid - min(drop, max(across, along))


@njit(cache=True, nogil=True, parallel=True)
def blotch(xyz: Any, mottle: Any, grain: Any, paper_y: Any, out: Any) -> None:
    """Uneven ink: XYZ changes by the fields (h, w), float32 shares, as far as there is ink."""
    for y in prange(xyz.shape[0]):
        for x in range(xyz.shape[1]):
            ink = min(max(np.float32(1.0) - xyz[y, x, 1] / paper_y, np.float32(0.0)), np.float32(1.0))
            gain = np.float32(1.0) + ink * mottle[y, x] + (np.float32(0.15) + ink) * grain[y, x]
            for i in range(3):
                out[y, x, i] = max(xyz[y, x, i] * gain, np.float32(0.0))


@njit(cache=True, nogil=True, parallel=True)
def expose(xyz: Any, matrix: Any, noise: Any, noise_level: Any, tone: Any, curve: Any, out: Any) -> None:
    """A scanner's numbers for ``xyz`` (h, w, 3) float32 on its sensor.

    ``matrix`` (3, 3) to the file's linear RGB; ``noise`` (h, w, 3) unit normals, their size ``noise_level``
    at full scale, falling with the root of the light; ``tone`` an exponent; ``curve`` the transfer curve: 0
    sRGB, else the exponent of a pure power. ``out`` uint8 or uint16, full range.
    """
    full = np.float32(255.0) if out.itemsize == 1 else np.float32(65535.0)
    power = np.float32(1.0) / curve if curve > np.float32(0.0) else np.float32(1.0 / 2.4)
    for y in prange(xyz.shape[0]):
        for x in range(xyz.shape[1]):
            for i in range(3):
                light = np.float32(0.0)
                for band in range(3):
                    light += matrix[i, band] * xyz[y, x, band]
                sd = noise_level * np.sqrt(max(light, np.float32(0.0)) + np.float32(0.002))
                light = min(max(light + noise[y, x, i] * sd, np.float32(0.0)), np.float32(1.0))
                if tone != np.float32(1.0):
                    light = light**tone
                if curve > np.float32(0.0):
                    code = light**power
                elif light <= np.float32(0.0031308):
                    code = np.float32(12.92) * light
                else:
                    code = np.float32(1.055) * light**power - np.float32(0.055)
                out[y, x, i] = int(code * full + np.float32(0.5))
