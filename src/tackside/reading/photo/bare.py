"""Where a sheet's bare card shows, by its plan: where nothing is printed, clear of ink, edges and creases."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np

from tackside.colour.spaces import Floats
from tackside.records import SheetPlan
from tackside.units import Box

CELL_MM = 0.25
# Clear of ink: what blur and a lens smear over, and how far a print may lie beside its place.
CLEAR_MM = 0.9
EDGE_MM = 2.0
CREASE_MM = 3.0
# One place of so much to look at, in each square of so much.
PLACE_MM, EVERY_MM = 0.9, 8.0
_MM_PER_POINT = 25.4 / 72.0


def bare_places(plan: SheetPlan) -> Floats:
    """Middles (n, 2) in mm of squares of PLACE_MM of bare card, spread over the sheet of one page."""
    width, height = plan.size_mm
    rows, columns = int(height / CELL_MM), int(width / CELL_MM)
    free = np.ones((rows, columns), dtype=np.uint8)
    for box in _printed(plan):
        left, top = int(box.x / CELL_MM), int(box.y / CELL_MM)
        right, bottom = int(np.ceil(box.right / CELL_MM)), int(np.ceil(box.bottom / CELL_MM))
        free[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)] = 0
    for crease in plan.creases:
        at, reach = crease.at_mm / CELL_MM, CREASE_MM / CELL_MM
        low, high = max(int(at - reach), 0), int(at + reach)
        if crease.direction == "vertical":
            free[:, low:high] = 0
        else:
            free[low:high] = 0
    edge = round(EDGE_MM / CELL_MM)
    free[:edge], free[-edge:], free[:, :edge], free[:, -edge:] = 0, 0, 0, 0
    room = cv2.distanceTransform(free, cv2.DIST_L2, 5) * CELL_MM
    step = round(EVERY_MM / CELL_MM)
    found = []
    for top in range(0, rows, step):
        for left in range(0, columns, step):
            part = room[top : top + step, left : left + step]
            row, column = np.unravel_index(int(np.argmax(part)), part.shape)
            if part[row, column] >= CLEAR_MM:
                found.append(((left + column + 0.5) * CELL_MM, (top + row + 0.5) * CELL_MM))
    return np.array(found).reshape(-1, 2)


def _printed(plan: SheetPlan) -> Iterator[Box]:
    """What ink may lie on; captions by how wide their letters may be at most."""
    for group in (plan.patches, plan.marks, plan.tags, plan.targets):
        yield from (each.box_mm for each in group)
    yield from (bar.box_mm for bar in plan.bars)
    for caption in plan.captions:
        size = caption.size_pt * _MM_PER_POINT
        wide = len(caption.text) * size * (0.62 + caption.spacing_em)
        left = caption.x_mm - {"left": 0.0, "centre": 0.5, "right": 1.0}[caption.align] * wide
        yield Box(left, caption.y_mm - size, wide, 1.35 * size)
