"""A part of a scan in linear light, with the place of each pixel on the sheet."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import is_inside
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.linear import numbers_to_xyz
from tackside.units import Box


@dataclass(frozen=True, eq=False)
class Window:
    """``xyz`` (rows, columns, 3): the pixels around one box, Y = 1 for the perfect diffuser.

    ``left``, ``top``: the part's place in the scan, px.
    """

    xyz: Floats
    left: int
    top: int
    map: SheetMap

    def at(self, mm: Floats, interpolation: int = cv2.INTER_CUBIC) -> Floats:
        """XYZ (..., 3) at points (..., 2) in mm."""
        points = self.map.to_px(mm) - (self.left, self.top) - 0.5
        x, y = (np.ascontiguousarray(points[..., axis], dtype=np.float32) for axis in (0, 1))
        return np.asarray(
            cv2.remap(self.xyz.astype(np.float32), x, y, interpolation, borderMode=cv2.BORDER_REPLICATE),
            dtype=np.float64,
        )


def window(scan: ScanImage, sheet_map: SheetMap, box: Box, margin_mm: float = 0.1) -> Window | None:
    """The pixels around ``box``; None where the scan does not show the whole of it."""
    if not is_inside(scan.pixels, sheet_map, box):
        return None
    wide = Box(box.x - margin_mm, box.y - margin_mm, box.w + 2 * margin_mm, box.h + 2 * margin_mm)
    corners = sheet_map.to_px(
        [[wide.x, wide.y], [wide.right, wide.y], [wide.right, wide.bottom], [wide.x, wide.bottom]]
    )
    height, width = scan.pixels.shape[:2]
    left, top = np.clip(np.floor(corners.min(axis=0)).astype(int) - 1, 0, None).tolist()
    right, bottom = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 1, (width, height)).tolist()
    part = scan.pixels[top:bottom, left:right]
    return Window(numbers_to_xyz(scan, part), int(left), int(top), sheet_map)
