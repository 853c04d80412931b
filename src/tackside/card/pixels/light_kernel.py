"""The loop that reduces a picture in light, a row at a time: by a table to light, down, across, and back by a table.

Only the rows within the kernel's reach are held, as 32-bit floats. The plain NumPy form stands in the tests. It makes
no arrays and raises nothing, so that its machine code stands alone (``tasks.machine_code``). Indices are unsigned, as
numba looks whether a signed one counts from the end.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

_0, _1, _2, _3, _4 = (np.uint64(each) for each in range(5))
_NONE, _ONE = np.float32(0.0), np.float32(1.0)
TILE = np.uint64(1024)  # numbers of a row worked on together, so that their sums stay near at hand


@njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"})
def reduce_rows(
    pixels: Any, top: Any, light: Any, held: Any, block: Any,
    first_y: Any, share_y: Any, done: Any,
    first_x: Any, share_x: Any,
    back: Any, line: Any, sums: Any, out: Any,
) -> None:  # fmt: skip
    """Take in ``pixels`` (n, w · 3), the rows from ``top`` on, and write the rows of ``out`` (h, columns · 3), from
    ``done`` on, that they complete.

    ``light``: float32, of each number. ``held`` (r, w · 3) float32: the last r means of ``block`` rows each.
    ``first_y`` (h,) uint64 and ``share_y`` (h, taps) float32: where a row's kernel begins, and its weights, 2 and a
    multiple of 4 of them; ``first_x`` and ``share_x`` the same of columns, any number of them. ``back`` (steps, 2)
    float32: number and rise at each step of the light's square root. ``line`` (w · 3 + 3,) and ``sums``
    (columns · 3 + 3,) float32: the row in work.
    """
    wide, rows = np.uint64(pixels.shape[1]), np.uint64(held.shape[0])
    taps_y, taps_x = np.uint64(share_y.shape[1]), np.uint64(share_x.shape[1])
    columns, numbers = np.uint64(share_x.shape[0]), np.uint64(out.shape[1])
    steps = np.float32(back.shape[0] - 1)
    part = _ONE / np.float32(block)
    at = np.uint64(done)
    for row in range(np.uint64(pixels.shape[0])):
        y = np.uint64(top) + row
        mean = y // np.uint64(block)
        slot = mean % rows
        if block == 1:
            for i in range(wide):
                held[slot, i] = light[pixels[row, i]]
        else:
            if y % np.uint64(block) == _0:
                for i in range(wide):
                    held[slot, i] = _NONE
            for i in range(wide):
                held[slot, i] += light[pixels[row, i]] * part
            if (y + _1) % np.uint64(block) != _0:
                continue
        while at < np.uint64(first_y.shape[0]) and first_y[at] + rows <= mean + _1:
            _down(held, first_y[at], share_y[at], taps_y, rows, wide, line)
            for x in range(columns):
                begin = first_x[x] * _3
                a = b = c = d = _NONE
                for k in range(taps_x):
                    share = share_x[x, k]
                    near = begin + k * _3
                    # The fourth is the next pixel's first: four at once are one step of the machine.
                    a += share * line[near]
                    b += share * line[near + _1]
                    c += share * line[near + _2]
                    d += share * line[near + _3]
                near = x * _3
                sums[near], sums[near + _1], sums[near + _2], sums[near + _3] = a, b, c, d
            for i in range(numbers):
                sums[i] = np.sqrt(min(max(sums[i], _NONE), _ONE)) * steps
            for i in range(numbers):
                step = np.int32(sums[i])
                near = np.uint64(step)
                out[at, i] = np.int32(back[near, _0] + back[near, _1] * (sums[i] - np.float32(step)))
            at += _1


@njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"}, inline="always")
def _down(held: Any, first: Any, share: Any, taps: Any, rows: Any, wide: Any, line: Any) -> None:
    """A row of the kernel's sums down the columns: two of its rows, then four at a time."""
    for begin in range(_0, wide, TILE):
        end = min(begin + TILE, wide)
        s0, s1 = first % rows, (first + _1) % rows
        w0, w1 = share[_0], share[_1]
        for i in range(begin, end):
            line[i] = w0 * held[s0, i] + w1 * held[s1, i]
        for k in range(_2, taps, _4):
            s0, s1 = (first + k) % rows, (first + k + _1) % rows
            s2, s3 = (first + k + _2) % rows, (first + k + _3) % rows
            w0, w1, w2, w3 = share[k], share[k + _1], share[k + _2], share[k + _3]
            for i in range(begin, end):
                line[i] += w0 * held[s0, i] + w1 * held[s1, i] + w2 * held[s2, i] + w3 * held[s3, i]
