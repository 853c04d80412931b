"""A table of three inputs read between its nodes: along tetrahedra from RGB, along all three axes from CIELAB.

So LittleCMS does, and for the same reason: tetrahedra (T. Sakamoto and A. Itooka, US patent 4 275 413, 1981, expired)
share the grey axis of RGB, which a grid of CIELAB has elsewhere.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from tackside.colour.spaces import Floats

STEPS_BACK = 30
FOUND = 1e-5  # units of the table's outputs


def between(table: Floats, places: Floats) -> Floats:
    """Values (m, k) of ``table`` (n, n, n, k) at ``places`` (m, 3), 0 to 1 along each axis; held there beyond."""
    out = np.empty((len(places), table.shape[-1]))
    flat = np.ascontiguousarray(table.reshape(-1, table.shape[-1]))
    _look_up(flat, table.shape[0], np.ascontiguousarray(np.clip(places, 0, 1)), out)
    return out


def along_axes(table: Floats, places: Floats) -> Floats:
    """The same, linear along each axis in turn."""
    numbers, parts = corners(places, table.shape[0])
    flat = table.reshape(-1, table.shape[-1])
    out = np.zeros((len(places), table.shape[-1]))
    for corner in range(8):
        out += parts[:, corner, None] * flat[numbers[:, corner]]
    return out


def corners(places: Floats, nodes: int) -> tuple[NDArray[np.intp], Floats]:
    """For each place (m, 3): the numbers of the eight nodes around it, and what part of each it is made of, (m, 8)."""
    spot = np.clip(places, 0, 1) * (nodes - 1)
    low = np.minimum(spot.astype(np.intp), nodes - 2)
    rest = spot - low
    up = np.array([[number >> 2 & 1, number >> 1 & 1, number & 1] for number in range(8)])
    steps = np.array([nodes * nodes, nodes, 1])
    numbers = (low @ steps)[:, None] + up @ steps
    parts = np.prod(np.where(up, rest[:, None, :], 1 - rest[:, None, :]), axis=2)
    return numbers, parts


def back(table: Floats, wanted: Floats, places: Floats) -> Floats:
    """``places`` (m, 3) moved to where ``table`` (n, n, n, 3), along tetrahedra, is ``wanted`` (m, 3): Newton's method.

    A place stays the best one found: where the table does not hold the value, near where it was.
    """
    out = np.ascontiguousarray(np.clip(places, 0, 1))
    _descend(np.ascontiguousarray(table.reshape(-1, 3)), table.shape[0], np.ascontiguousarray(wanted), out)
    return out


@njit(cache=True, nogil=True)
def _walk(nodes: int, place: Any, first: Any, rest: Any, order: Any) -> None:
    """The node below ``place``, the rests along the axes, and the axes from the longest rest to the shortest."""
    for axis in range(3):
        spot = place[axis] * (nodes - 1)
        low = min(max(int(spot), 0), nodes - 2)
        first[axis] = low
        rest[axis] = spot - low
        order[axis] = axis
    for i in range(2):
        for j in range(2 - i):
            if rest[order[j]] < rest[order[j + 1]]:
                order[j], order[j + 1] = order[j + 1], order[j]


@njit(cache=True, nogil=True)
def _look_up(table: Any, nodes: int, places: Any, out: Any) -> None:
    first, order, rest = np.empty(3, np.int64), np.empty(3, np.int64), np.empty(3)
    steps = (nodes * nodes, nodes, 1)
    for m in range(places.shape[0]):
        _walk(nodes, places[m], first, rest, order)
        at = (first[0] * nodes + first[1]) * nodes + first[2]
        before = 1.0
        out[m] = 0.0
        for walk in range(4):
            after = rest[order[walk]] if walk < 3 else 0.0
            for k in range(out.shape[1]):
                out[m, k] += (before - after) * table[at, k]
            if walk < 3:
                at += steps[order[walk]]
            before = after


@njit(cache=True, nogil=True)
def _descend(table: Any, nodes: int, wanted: Any, places: Any) -> None:
    first, order, rest = np.empty(3, np.int64), np.empty(3, np.int64), np.empty(3)
    slope, value, step = np.empty((3, 3)), np.empty(3), np.empty(3)
    steps = (nodes * nodes, nodes, 1)
    for m in range(places.shape[0]):
        place = places[m].copy()
        least = np.inf
        for _ in range(STEPS_BACK):
            _walk(nodes, place, first, rest, order)
            at = (first[0] * nodes + first[1]) * nodes + first[2]
            for k in range(3):
                value[k] = table[at, k]
            for walk in range(3):
                axis = order[walk]
                there = at + steps[axis]
                for k in range(3):
                    slope[k, axis] = table[there, k] - table[at, k]
                    value[k] += rest[axis] * slope[k, axis]
                at = there
            off = 0.0
            for k in range(3):
                step[k] = wanted[m, k] - value[k]
                off += step[k] * step[k]
            if off < least:
                least = off
                places[m] = place
            if off < FOUND * FOUND or not _solve(slope, step):
                break
            for axis in range(3):
                place[axis] = min(max(place[axis] + step[axis] / (nodes - 1), 0.0), 1.0)


@njit(cache=True, nogil=True)
def _solve(matrix: Any, right: Any) -> bool:
    """Cramer's rule in place of ``right``; False where the matrix is as good as singular."""
    # Number by number: an array made for each step, as NumPy's cross product does, takes most of a search's time.
    a, b, c = matrix[0, 0], matrix[0, 1], matrix[0, 2]
    d, e, f = matrix[1, 0], matrix[1, 1], matrix[1, 2]
    g, h, i = matrix[2, 0], matrix[2, 1], matrix[2, 2]
    by_a, by_b, by_c = e * i - f * h, f * g - d * i, d * h - e * g
    whole = a * by_a + b * by_b + c * by_c
    if abs(whole) < 1e-9:
        return False
    x, y, z = right[0], right[1], right[2]
    right[0] = (x * by_a + y * (c * h - b * i) + z * (b * f - c * e)) / whole
    right[1] = (x * by_b + y * (a * i - c * g) + z * (c * d - a * f)) / whole
    right[2] = (x * by_c + y * (b * g - a * h) + z * (a * e - b * d)) / whole
    return True
