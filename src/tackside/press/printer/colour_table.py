"""The colour model as a table over RGB, so that millions of pixels can be looked up.

Cube roots of XYZ are kept, since they are nearly even to the eye (CIE 15, L*). Between the nodes the table
is read along tetrahedra that share the grey axis (T. Sakamoto and A. Itooka, US patent 4 275 413, 1981,
expired), because the model has creases where two of R, G and B are equal: faces of these tetrahedra.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.halftone import Floats
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel

# 255 = 51 × 5: every fifth 8-bit number is a node, and patches in even steps of 51 or 85 meet nodes exactly.
NODES = 52


def colour_table(stock: StockModel, printer: PrinterModel) -> NDArray[np.float32]:
    """Cube roots of XYZ at the nodes, (52, 52, 52, 3), first axis red; read-only."""
    return _colour_table(stock, printer.colour_part())


@lru_cache(maxsize=8)
def _colour_table(stock: StockModel, printer: PrinterModel) -> NDArray[np.float32]:
    axis = np.linspace(0.0, 1.0, NODES)
    rgb = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1)
    table = np.cbrt(rgb_to_xyz(rgb, stock, printer)).astype(np.float32)
    table.flags.writeable = False
    return table


def look_up(table: NDArray[np.float32], rgb: ArrayLike) -> Floats:
    """XYZ (n, 3) of ``rgb`` (n, 3), 0 to 1, by tetrahedral interpolation, as ``kernels.lay_down`` does."""
    place = np.clip(np.asarray(rgb, dtype=np.float64), 0.0, 1.0) * (NODES - 1)
    corner = np.minimum(place.astype(np.intp), NODES - 2)
    rest = place - corner
    order = np.argsort(-rest, axis=-1, kind="stable")
    steps = np.take_along_axis(rest, order, axis=-1)
    root = np.zeros_like(place)
    at = corner.copy()
    before = np.ones(len(place))
    for walk in range(4):  # from the corner along the axes, longest rest first, to the far corner
        after = steps[:, walk] if walk < 3 else np.zeros(len(place))
        root += (before - after)[:, np.newaxis] * table[at[:, 0], at[:, 1], at[:, 2]]
        if walk < 3:
            at[np.arange(len(place)), order[:, walk]] += 1
        before = after
    return np.asarray(root**3)
