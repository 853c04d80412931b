"""The loops that take a picture's pixels through a table, along tetrahedra that share the grey axis.

T. Sakamoto and A. Itooka, US patent 4 275 413, 1981 (expired). The plain NumPy form stands in the tests.
Rows are dealt to threads by the caller: the loops let go of the interpreter's lock.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

_ONE = np.float32(1.0)


@njit(cache=True, nogil=True, inline="always")
def _between(table: Any, r: Any, g: Any, b: Any, fr: Any, fg: Any, fb: Any, step_r: Any, step_g: Any) -> Any:
    """The table (n · n · n, 3) at a node's place plus the rests, 0 to 1, along the three axes."""
    base = r * step_r + g * step_g + b
    # The walk from the node to its far corner goes along the axes, longest rest first.
    if fr >= fg:
        if fg >= fb:
            first, second, high, middle, low = step_r, step_r + step_g, fr, fg, fb
        elif fr >= fb:
            first, second, high, middle, low = step_r, step_r + 1, fr, fb, fg
        else:
            first, second, high, middle, low = 1, step_r + 1, fb, fr, fg
    elif fb >= fg:
        first, second, high, middle, low = 1, step_g + 1, fb, fg, fr
    elif fb >= fr:
        first, second, high, middle, low = step_g, step_g + 1, fg, fb, fr
    else:
        first, second, high, middle, low = step_g, step_r + step_g, fg, fr, fb
    w0, w1, w2 = _ONE - high, high - middle, middle - low
    near, far = base, base + step_r + step_g + 1
    one, two = base + first, base + second
    return (
        w0 * table[near, 0] + w1 * table[one, 0] + w2 * table[two, 0] + low * table[far, 0],
        w0 * table[near, 1] + w1 * table[one, 1] + w2 * table[two, 1] + low * table[far, 1],
        w0 * table[near, 2] + w1 * table[one, 2] + w2 * table[two, 2] + low * table[far, 2],
    )


@njit(cache=True, nogil=True)
def look_up_8(pixels: Any, table: Any, node: Any, rest: Any, nodes: Any, rounding: Any, out: Any) -> None:
    """Take ``pixels`` (n, 3) uint8 through ``table`` (nodes³, 3) float32, in the units of ``out`` (n, 3).

    ``node`` (256,) int32 and ``rest`` (256,) float32: where each 8-bit number lies on an axis. ``rounding``:
    0.5 for an ``out`` of whole numbers, else 0.
    """
    step_g = nodes
    step_r = nodes * nodes
    for i in range(pixels.shape[0]):
        r, g, b = pixels[i, 0], pixels[i, 1], pixels[i, 2]
        if i > 0 and r == pixels[i - 1, 0] and g == pixels[i - 1, 1] and b == pixels[i - 1, 2]:
            out[i, 0], out[i, 1], out[i, 2] = out[i - 1, 0], out[i - 1, 1], out[i - 1, 2]
            continue
        x, y, z = _between(table, node[r], node[g], node[b], rest[r], rest[g], rest[b], step_r, step_g)
        out[i, 0], out[i, 1], out[i, 2] = x + rounding, y + rounding, z + rounding


@njit(cache=True, nogil=True)
def look_up_16(pixels: Any, table: Any, place: Any, nodes: Any, rounding: Any, out: Any) -> None:
    """The same for uint16. ``place`` (257,) float32: where each 8-bit number (257 · n) lies on an axis, in
    nodes; its last entry repeats the one before."""
    step_g = nodes
    step_r = nodes * nodes
    last = nodes - 2
    share = _ONE / np.float32(257.0)
    for i in range(pixels.shape[0]):
        if (
            i > 0
            and pixels[i, 0] == pixels[i - 1, 0]
            and pixels[i, 1] == pixels[i - 1, 1]
            and pixels[i, 2] == pixels[i - 1, 2]
        ):
            out[i, 0], out[i, 1], out[i, 2] = out[i - 1, 0], out[i - 1, 1], out[i - 1, 2]
            continue
        cr, cg, cb = pixels[i, 0] // 257, pixels[i, 1] // 257, pixels[i, 2] // 257
        pr = place[cr] + (place[cr + 1] - place[cr]) * (np.float32(pixels[i, 0] - cr * 257) * share)
        pg = place[cg] + (place[cg + 1] - place[cg]) * (np.float32(pixels[i, 1] - cg * 257) * share)
        pb = place[cb] + (place[cb + 1] - place[cb]) * (np.float32(pixels[i, 2] - cb * 257) * share)
        r, g, b = min(int(pr), last), min(int(pg), last), min(int(pb), last)
        x, y, z = _between(
            table,
            r,
            g,
            b,
            pr - np.float32(r),
            pg - np.float32(g),
            pb - np.float32(b),
            step_r,
            step_g,
        )
        out[i, 0], out[i, 1], out[i, 2] = x + rounding, y + rounding, z + rounding
