"""The loops behind ``inverse``: a table read between its nodes, and the descent to the nearest colour.

They make no arrays and raise nothing, so that their machine code stands alone (``tasks.machine_code``). What they
reckon in is handed to them, for up to four channels: ``room`` (16, 4) of floating point numbers, and ``whole`` (2, 4)
of whole ones.
"""

from __future__ import annotations

from typing import Any

from numba import njit

STEPS = 40


@njit(cache=True, nogil=True, error_model="numpy")
def _corner(
    table: Any, nodes: int, channels: int, place: Any, lab: Any, slope: Any, low: Any, part: Any
) -> None:
    """Colour and its slope by each channel at one place, multilinear."""
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


@njit(cache=True, nogil=True, error_model="numpy")
def look_up(table: Any, nodes: int, places: Any, room: Any, whole: Any, out: Any) -> None:
    for m in range(places.shape[0]):
        _corner(table, nodes, places.shape[1], places[m], out[m], room[6:9], whole[0], room[2])


@njit(cache=True, nogil=True, error_model="numpy")
def _solve(size: int, matrix: Any, right: Any, free: Any) -> None:
    """Solve for the free unknowns in place by elimination; the matrix is positive definite there."""
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


@njit(cache=True, nogil=True, error_model="numpy")
def descend(
    table: Any,
    nodes: int,
    targets: Any,
    scales: Any,
    wanted: Any,
    care: float,
    room: Any,
    whole: Any,
    places: Any,
) -> None:
    """Levenberg and Marquardt's descent inside the box 0 to 1, from ``places``, which it moves."""
    channels = places.shape[1]
    lab, trial, part, right, place, moved = room[0], room[1], room[2], room[3], room[4], room[5]
    slope, spare, normal = room[6:9], room[9:12], room[12:16]
    low, free = whole[0], whole[1]
    for m in range(places.shape[0]):
        for axis in range(channels):
            place[axis] = places[m, axis]
        _corner(table, nodes, channels, place, lab, slope, low, part)
        cost = _cost(lab, targets[m], scales[m]) + (care * (place[channels - 1] - wanted[m])) ** 2
        damping = 1e-3
        for _ in range(STEPS):
            _normal_equations(channels, lab, slope, targets[m], scales[m], normal, right)
            normal[channels - 1, channels - 1] += care * care
            right[channels - 1] -= care * care * (place[channels - 1] - wanted[m])
            for axis in range(channels):
                held = (place[axis] <= 0.0 and right[axis] <= 0.0) or (
                    place[axis] >= 1.0 and right[axis] >= 0.0
                )
                free[axis] = 0 if held else 1
                normal[axis, axis] = normal[axis, axis] * (1.0 + damping) + 1e-9
            _solve(channels, normal, right, free)
            step = 0.0
            for axis in range(channels):
                moved[axis] = min(max(place[axis] + right[axis], 0.0), 1.0)
                step = max(step, abs(moved[axis] - place[axis]))
            if step < 1e-6:
                break
            _corner(table, nodes, channels, moved, trial, spare, low, part)
            new = _cost(trial, targets[m], scales[m]) + (care * (moved[channels - 1] - wanted[m])) ** 2
            if new < cost:
                cost = new
                for axis in range(channels):
                    place[axis] = moved[axis]
                for i in range(3):
                    lab[i] = trial[i]
                    for axis in range(channels):
                        slope[i, axis] = spare[i, axis]
                damping = max(damping / 4, 1e-7)
            else:
                damping *= 6
                if damping > 1e8:
                    break
        for axis in range(channels):
            places[m, axis] = place[axis]


@njit(cache=True, nogil=True, error_model="numpy")
def _cost(lab: Any, target: Any, scale: Any) -> float:
    total = 0.0
    for i in range(3):
        part = 0.0
        for j in range(3):
            part += scale[i, j] * (lab[j] - target[j])
        total += part * part
    return total


@njit(cache=True, nogil=True, error_model="numpy")
def _normal_equations(
    channels: int, lab: Any, slope: Any, target: Any, scale: Any, normal: Any, right: Any
) -> None:
    """The matrix of Gauss's normal equations, and the downhill side, for the weighted differences."""
    for a in range(channels):
        right[a] = 0.0
        for b in range(channels):
            normal[a, b] = 0.0
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
