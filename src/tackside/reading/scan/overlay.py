"""A picture of what was found in a scan: marks, the windows that patches were read in, the sheet's edges."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import INNER
from tackside.reading.scan.geometry.placement import find_edges
from tackside.reading.scan.locate import Located
from tackside.units import Box

Colour = tuple[int, int, int]
MARKS: Colour = (0, 160, 70)
PATCHES: Colour = (230, 0, 160)
EDGES: Colour = (0, 110, 255)
_SHIFT = 4  # OpenCV draws to a sixteenth of a pixel


def overlay(located: Located, width_px: int = 1600) -> NDArray[np.uint8]:
    """The scan (h, w, 3), 8 bits, shrunk to ``width_px`` at most, with what was found drawn on it.

    Colours are the scan's own numbers: the picture is for finding one's way, not for judging colour.
    """
    pixels = located.scan.pixels
    factor = min(1.0, width_px / pixels.shape[1])
    shrunk = cv2.resize(pixels, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    picture = np.ascontiguousarray(shrunk if pixels.itemsize == 1 else shrunk // 257, dtype=np.uint8)
    sheet = located.sheet
    for patch in located.plan.patches:
        box = patch.box_mm
        inner = box.inset(*(side * (1 - INNER) / 2 for side in (box.w, box.h, box.w, box.h)))
        _outline(picture, sheet.map.to_px(_corners(inner)) * factor, PATCHES)
    for mark, seen in sheet.marks:
        _outline(picture, seen.corners * factor, MARKS, thickness=2)
        x, y = sheet.map.to_px(mark.box_mm.centre) * factor
        cv2.drawMarker(picture, (round(x), round(y)), MARKS, cv2.MARKER_CROSS, 12, 2)
    for edge in find_edges(located.scan, sheet.map, located.plan).values():
        far = 2.0 * max(pixels.shape) * edge.direction
        start, end = np.rint(np.array([edge.point - far, edge.point + far]) * factor).astype(int).tolist()
        cv2.line(picture, start, end, EDGES, 1, cv2.LINE_AA)
    return picture


def _corners(box: Box) -> Floats:
    return np.array([[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]])


def _outline(picture: NDArray[np.uint8], corners: Floats, colour: Colour, thickness: int = 1) -> None:
    points = np.round((corners - 0.5) * 2**_SHIFT).astype(np.int32)
    cv2.polylines(picture, [points], True, colour, thickness, cv2.LINE_AA, _SHIFT)
