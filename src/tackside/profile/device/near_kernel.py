"""The loop behind ``near``: the nearest of many points, sought in the boxes around a place, ring after ring.

It makes no arrays and raises nothing, so that its machine code stands alone (``tasks.machine_code``).
"""

from __future__ import annotations

from typing import Any

from numba import njit


@njit(cache=True, nogil=True, error_model="numpy")
def _box(at: float, boxes: int) -> Any:
    """The box along an axis, of so many, in which a place lies or to which it is nearest; how far it lies beyond them
    all, squared. All in boxes.
    """
    outside = max(-at, at - boxes, 0.0)
    return int(min(max(at, 0.0), boxes - 1.0)), outside * outside


@njit(cache=True, nogil=True, error_model="numpy")
def nearest(
    points: Any, numbers: Any, first: Any, low: Any, boxes: Any, side: float, places: Any, far: Any, out: Any
) -> None:
    """For each of ``places`` (m, 3) the numbers of the nearest points, nearest first, into ``out`` (m, k) int64.

    ``points`` (n, 3) lie in the order of their boxes, ``numbers`` (n,) are their own. A box is a cube of ``side``;
    there are ``boxes`` (3,) of them along the axes from ``low`` (3,) on, the last axis running fastest, and box i holds
    the points from ``first[i]`` to ``first[i + 1]``. ``far`` (k,): room for squared distances. k is n at most.
    """
    k = out.shape[1]
    widest = max(boxes[0], boxes[1], boxes[2])
    for m in range(places.shape[0]):
        x, y, z = places[m, 0], places[m, 1], places[m, 2]
        a, beyond_x = _box((x - low[0]) / side, boxes[0])
        b, beyond_y = _box((y - low[1]) / side, boxes[1])
        c, beyond_z = _box((z - low[2]) / side, boxes[2])
        beyond = (
            (beyond_x + beyond_y + beyond_z) * side * side
        )  # squared, from the place to the block of all boxes
        held = 0
        ring = 0
        while True:
            for i in range(max(a - ring, 0), min(a + ring + 1, boxes[0])):
                for j in range(max(b - ring, 0), min(b + ring + 1, boxes[1])):
                    # Where neither i nor j lies on the ring, only its two ends along the third axis do.
                    step = 1 if abs(i - a) == ring or abs(j - b) == ring or ring == 0 else 2 * ring
                    for h in range(c - ring, c + ring + 1, step):
                        if h < 0 or h >= boxes[2]:
                            continue
                        box = (i * boxes[1] + j) * boxes[2] + h
                        for n in range(first[box], first[box + 1]):
                            dx, dy, dz = points[n, 0] - x, points[n, 1] - y, points[n, 2] - z
                            distance = dx * dx + dy * dy + dz * dz
                            if held == k and distance >= far[k - 1]:
                                continue
                            place = held if held < k else k - 1
                            while place > 0 and far[place - 1] > distance:
                                far[place] = far[place - 1]
                                out[m, place] = out[m, place - 1]
                                place -= 1
                            far[place] = distance
                            out[m, place] = numbers[n]
                            held = min(held + 1, k)
            # What lies farther out than this ring is at least its width away, and what the place is beyond them all.
            reach = ring * side
            if ring == widest or (held == k and far[k - 1] <= beyond + reach * reach):
                break
            ring += 1
