"""Fiducial marks: squares of OpenCV's dictionary 4X4_50 that a program finds and tells apart."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.records import Mark
from tackside.sheet.canvas import Canvas, Grid
from tackside.units import Box

MODULES = 6  # four of data and a black border of one all round
IDS = 50
LEAST_MM = 5.0


def mark_side_mm(wanted_mm: float, grid: Grid) -> float:
    """The side of a mark near ``wanted_mm``, never below 5 mm, whose modules are whole dots."""
    module = max(grid.dots(wanted_mm / MODULES), 1)
    while grid.mm(module * MODULES) < LEAST_MM:
        module += 1
    return grid.mm(module * MODULES)


def quiet_mm(side_mm: float) -> float:
    """The white that a mark needs all round: one module and a little."""
    return side_mm / MODULES * 1.25


def draw(canvas: Canvas, mark: Mark) -> None:
    module = canvas.grid.dots(mark.box_mm.w) // MODULES
    canvas.paste(np.kron(_modules(mark.id), np.ones((module, module), dtype=np.uint8)), mark.box_mm)


def _modules(number: int) -> NDArray[np.uint8]:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    return np.asarray(
        cv2.aruco.generateImageMarker(dictionary, number, MODULES, borderBits=1), dtype=np.uint8
    )


def with_quiet_zone(mark: Mark) -> Box:
    return mark.box_mm.shrunk(-quiet_mm(mark.box_mm.w))
