"""The drawings that printed letters are compared with, against each one drawn on a canvas of its own."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.reading.quality.legible import EM_PX, LETTERS, _drawn
from tackside.sheet.canvas import Canvas
from tackside.sheet.page.text import draw_line
from tackside.units import MM_PER_INCH, MM_PER_POINT

FINER, PPI, SIDE = 2, 600.0, 40
SIZE_MM = EM_PX * FINER * MM_PER_INCH / PPI
BLACK = (0.0, 0.0, 0.0)


def alone(before: str, letter: str, after: str, wide_em: float, shape: tuple[int, int]) -> np.ndarray:
    """One letter and its neighbours, as the sheet sets them: mean cover of each cell, unit length about its mean."""
    canvas = Canvas(shape[1] * FINER + 2 * SIDE, shape[0] * FINER, PPI)
    middle = (SIDE + shape[1] * FINER / 2) * MM_PER_INCH / PPI
    half, size_pt = (wide_em - 0.24) * SIZE_MM / 2, SIZE_MM / MM_PER_POINT
    draw_line(canvas, letter, middle, SIZE_MM, size_pt, BLACK, align="centre")
    draw_line(canvas, before, middle - half, SIZE_MM, size_pt, BLACK, align="right")
    draw_line(canvas, after, middle + half, SIZE_MM, size_pt, BLACK)
    inked = 1.0 - canvas.pixels[:, SIDE : SIDE + shape[1] * FINER, 0] / 255.0
    cells = inked.reshape(shape[0], FINER, shape[1], FINER).mean(axis=(1, 3)).ravel()
    off = cells - cells.mean()
    return np.asarray(off / np.linalg.norm(off))


@pytest.mark.parametrize(("before", "after", "wide_em"), [("w", "m", 0.9), ("i", "l", 0.45), ("f", "j", 0.6)])
def test_letters_laid_together_are_those_drawn_one_by_one(before: str, after: str, wide_em: float) -> None:
    shape = (round(1.4 * EM_PX), round(wide_em * EM_PX))
    together = _drawn(before, after, wide_em, shape)
    for number, letter in enumerate(LETTERS):
        assert together[number] == pytest.approx(alone(before, letter, after, wide_em, shape), abs=1e-12), (
            letter
        )
