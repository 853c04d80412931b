"""The loops behind ``inverse``: a table read between its nodes, and the descent to the nearest colour."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

STEPS = 40


@njit(cache=True, nogil=True)
def _corner(table: Any, nodes: int, place: Any, lab: Any, slope: Any, low: Any, part: Any) -> None:
    """Colour and its slope by each channel at one place, multilinear."""
    channels = place.shape[0]
    for axis in range(channels):
        spot = place[axis] * (nodes - 1)
        low[axis] = min(int(spot), nodes - 2)
        part[axis] = spot - low[axis]
    for i in range(3):
        lab[i] = 0.0
        for axis in range(channels):
            slope[i, axis] = 0.0
    for corner in range(1 << channels):
        number = 0
        weight = 1.0
        for axis in range(channels):
            up = corner >> axis & 1
            number = number * nodes + low[axis] + up
            weight *= part[axis] if up else 1.0 - part[axis]
        for i in range(3):
            lab[i] += weight * table[number, i]
        for axis in range(channels):
            rest = nodes - 1.0 if corner >> axis & 1 else 1.0 - nodes
            for other in range(channels):
                if other != axis:
                    rest *= part[other] if corner >> other & 1 else 1.0 - part[other]
            for i in range(3):
                slope[i, axis] += rest * table[number, i]


@njit(cache=True, nogil=True)
def look_up(table: Any, nodes: int, places: Any, out: Any) -> None:
    channels = places.shape[1]
    slope = np.empty((3, channels))
    low = np.empty(channels, np.int64)
    part = np.empty(channels)
    for m in range(places.shape[0]):
        _corner(table, nodes, places[m], out[m], slope, low, part)


@njit(cache=True, nogil=True)
def _solve(matrix: Any, right: Any, free: Any) -> None:
    """Solve for the free unknowns in place by elimination; the matrix is positive definite there."""
    size = right.shape[0]
    for i in range(size):
        if not free[i]:
            right[i] = 0.0
            continue
        for j in range(i + 1, size):
            if not free[j]:
                continue
            ratio = matrix[j, i] / matrix[i, i]
            for k in range(i, size):
                matrix[j, k] -= ratio * matrix[i, k]
            right[j] -= ratio * right[i]
    for back in range(size):
        i = size - 1 - back
        if not free[i]:
            continue
        for k in range(i + 1, size):
            if free[k]:
                right[i] -= matrix[i, k] * right[k]
        right[i] /= matrix[i, i]


@njit(cache=True, nogil=True)
def descend(table: Any, nodes: int, targets: Any, scales: Any, wanted: Any, care: float, places: Any) -> None:
    """Levenberg and Marquardt's descent inside the box 0 to 1, from ``places``, which it moves."""
    channels = places.shape[1]
    lab, trial = np.empty(3), np.empty(3)
    slope, spare = np.empty((3, channels)), np.empty((3, channels))
    low, part = np.empty(channels, np.int64), np.empty(channels)
    normal, right = np.empty((channels, channels)), np.empty(channels)
    free = np.empty(channels, np.bool_)
    place, moved = np.empty(channels), np.empty(channels)
    for m in range(places.shape[0]):
        place[:] = places[m]
        _corner(table, nodes, place, lab, slope, low, part)
        cost = _cost(lab, targets[m], scales[m]) + (care * (place[channels - 1] - wanted[m])) ** 2
        damping = 1e-3
        for _ in range(STEPS):
            _normal_equations(lab, slope, targets[m], scales[m], normal, right)
            normal[channels - 1, channels - 1] += care * care
            right[channels - 1] -= care * care * (place[channels - 1] - wanted[m])
            for axis in range(channels):
                held = (place[axis] <= 0.0 and right[axis] <= 0.0) or (
                    place[axis] >= 1.0 and right[axis] >= 0.0
                )
                free[axis] = not held
                normal[axis, axis] = normal[axis, axis] * (1.0 + damping) + 1e-9
            _solve(normal, right, free)
            step = 0.0
            for axis in range(channels):
                moved[axis] = min(max(place[axis] + right[axis], 0.0), 1.0)
                step = max(step, abs(moved[axis] - place[axis]))
            if step < 1e-6:
                break
            _corner(table, nodes, moved, trial, spare, low, part)
            new = _cost(trial, targets[m], scales[m]) + (care * (moved[channels - 1] - wanted[m])) ** 2
            if new < cost:
                cost = new
                place[:] = moved
                lab[:] = trial
                slope[:] = spare
                damping = max(damping / 4, 1e-7)
            else:
                damping *= 6
                if damping > 1e8:
                    break
        places[m] = place


@njit(cache=True, nogil=True)
def _cost(lab: Any, target: Any, scale: Any) -> float:
    total = 0.0
    for i in range(3):
        part = 0.0
        for j in range(3):
            part += scale[i, j] * (lab[j] - target[j])
        total += part * part
    return total


@njit(cache=True, nogil=True)
def _normal_equations(lab: Any, slope: Any, target: Any, scale: Any, normal: Any, right: Any) -> None:
    """The matrix of Gauss's normal equations, and the downhill side, for the weighted differences."""
    channels = slope.shape[1]
    normal[:] = 0.0
    right[:] = 0.0
    for i in range(3):
        rest = 0.0
        for j in range(3):
            rest += scale[i, j] * (lab[j] - target[j])
        for a in range(channels):
            along = 0.0
            for j in range(3):
                along += scale[i, j] * slope[j, a]
            right[a] -= along * rest
            for b in range(channels):
                other = 0.0
                for j in range(3):
                    other += scale[i, j] * slope[j, b]
                normal[a, b] += along * other
