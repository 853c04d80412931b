"""The loops that take a picture's pixels through a table, along tetrahedra that share the grey axis.

T. Sakamoto and A. Itooka, US patent 4 275 413, 1981 (expired). The plain NumPy form stands in the tests.
Rows are dealt to threads by the caller: the loops let go of the interpreter's lock.

Which of the three rests is the longest is as good as chance in a photograph with grain. So no loop branches on it: the
rests are sorted by least and greatest, and three comparisons are the row of a short table of ways. Indices are
unsigned, as numba looks whether a signed one counts from the end.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

_ONE = np.float32(1.0)
_0, _1, _2 = np.uint64(0), np.uint64(1), np.uint64(2)


@njit(cache=True, nogil=True, inline="always")
def _between(table: Any, base: Any, fr: Any, fg: Any, fb: Any, walk: Any, far: Any) -> Any:
    """The table (n · n · n, 3) at a node's place ``base`` plus the rests, 0 to 1, along the three axes."""
    way = np.uint64(fr >= fg) * np.uint64(4) + np.uint64(fg >= fb) * _2 + np.uint64(fr >= fb)
    more, less = max(fr, fg), min(fr, fg)
    low, other = min(less, fb), max(less, fb)
    high, middle = max(more, other), min(more, other)
    w0, w1, w2 = _ONE - high, high - middle, middle - low
    one, two, end = base + walk[way, _0], base + walk[way, _1], base + far
    return (
        w0 * table[base, _0] + w1 * table[one, _0] + w2 * table[two, _0] + low * table[end, _0],
        w0 * table[base, _1] + w1 * table[one, _1] + w2 * table[two, _1] + low * table[end, _1],
        w0 * table[base, _2] + w1 * table[one, _2] + w2 * table[two, _2] + low * table[end, _2],
    )


@njit(cache=True, nogil=True)
def look_up_8(
    pixels: Any, table: Any, node: Any, rest: Any, walk: Any, nodes: Any, rounding: Any, out: Any
) -> None:
    """Take ``pixels`` (n, 3) uint8 through ``table`` (nodes³, 3) float32, in the units of ``out`` (n, 3).

    ``node`` (256,) uint64 and ``rest`` (256,) float32: where each 8-bit number lies on an axis. ``walk``: ``walks`` of
    the table. ``rounding``: 0.5 for an ``out`` of whole numbers, else 0.
    """
    step_g = np.uint64(nodes)
    step_r = step_g * step_g
    far = step_r + step_g + _1
    red = green = blue = -1
    x = y = z = rounding
    for i in range(pixels.shape[0]):
        r, g, b = pixels[i, 0], pixels[i, 1], pixels[i, 2]
        if r != red or g != green or b != blue:
            red, green, blue = r, g, b
            base = node[r] * step_r + node[g] * step_g + node[b]
            x, y, z = _between(table, base, rest[r], rest[g], rest[b], walk, far)
        out[i, 0], out[i, 1], out[i, 2] = x + rounding, y + rounding, z + rounding


@njit(cache=True, nogil=True)
def look_up_16(pixels: Any, table: Any, place: Any, walk: Any, nodes: Any, rounding: Any, out: Any) -> None:
    """The same for uint16. ``place`` (257,) float32: where each 8-bit number (257 · n) lies on an axis, in
    nodes; its last entry repeats the one before."""
    step_g = np.uint64(nodes)
    step_r = step_g * step_g
    far = step_r + step_g + _1
    last = np.uint64(nodes - 2)
    share = _ONE / np.float32(257.0)
    red = green = blue = -1
    x = y = z = rounding
    for i in range(pixels.shape[0]):
        r, g, b = pixels[i, 0], pixels[i, 1], pixels[i, 2]
        if r != red or g != green or b != blue:
            red, green, blue = r, g, b
            pr, pg, pb = _place(r, place, share), _place(g, place, share), _place(b, place, share)
            nr, ng, nb = min(np.uint64(pr), last), min(np.uint64(pg), last), min(np.uint64(pb), last)
            fr, fg, fb = pr - np.float32(nr), pg - np.float32(ng), pb - np.float32(nb)
            x, y, z = _between(table, nr * step_r + ng * step_g + nb, fr, fg, fb, walk, far)
        out[i, 0], out[i, 1], out[i, 2] = x + rounding, y + rounding, z + rounding


@njit(cache=True, nogil=True, inline="always")
def _place(code: Any, place: Any, share: Any) -> Any:
    """Where a 16-bit number lies on an axis, in nodes."""
    known = np.uint64(code) // np.uint64(257)
    over = np.float32(np.uint64(code) - known * np.uint64(257))
    return place[known] + (place[known + _1] - place[known]) * (over * share)
