"""The tag: a QR code (ISO/IEC 18004) that names the trial, so that a scan finds its own record."""

from __future__ import annotations

import numpy as np
import segno
from numpy.typing import NDArray

from tackside.records import Tag
from tackside.sheet.canvas import Canvas, Grid

PREFIX = "TACKSIDE/1/"
LEAST_MODULE_MM = 0.5
QUIET_MODULES = 4  # ISO/IEC 18004: four modules of white all round


def tag_text(trial_id: str, page: int = 1) -> str:
    """``TACKSIDE/1/ID``, and from the second page on ``TACKSIDE/1/ID/2``."""
    return PREFIX + trial_id + (f"/{page}" if page > 1 else "")


def tag_modules(text: str) -> NDArray[np.bool_]:
    """The symbol as (n, n), True where black. Level Q survives a quarter of it lost."""
    code = segno.make(text, error="q", boost_error=False, micro=False)
    return np.array([[bool(module) for module in row] for row in code.matrix], dtype=np.bool_)


def tag_side_mm(text: str, grid: Grid, module_mm: float = LEAST_MODULE_MM) -> float:
    """The symbol's side in mm without its quiet zone; its modules are whole dots of at least 0.5 mm."""
    dots = max(grid.dots(module_mm), 1)
    while grid.mm(dots) < LEAST_MODULE_MM:
        dots += 1
    return grid.mm(dots * tag_modules(text).shape[0])


def quiet_mm(side_mm: float, text: str) -> float:
    return QUIET_MODULES * side_mm / len(tag_modules(text))


def draw(canvas: Canvas, tag: Tag) -> None:
    modules = tag_modules(tag.text)
    dots = canvas.grid.dots(tag.box_mm.w) // modules.shape[0]
    black = np.where(modules, 0, 255).astype(np.uint8)
    canvas.paste(np.kron(black, np.ones((dots, dots), dtype=np.uint8)), tag.box_mm)
