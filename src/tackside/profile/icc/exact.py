"""A printer's RGB tables worked exactly: curves, nodes (``tetra``), curves, in double precision.

What LittleCMS does when it takes no short cuts. Asked for 16 bits, it first samples a table again on 33 even nodes of
CIELAB, and so rounds off what lies between them; on its way from a picture's RGB it does not.
"""

from __future__ import annotations

import numpy as np

from tackside.colour.spaces import Floats
from tackside.profile.icc import tetra
from tackside.profile.icc.tables import ColourTable

_LEAST = np.array([0.0, -128.0, -128.0])
OLD_STEPS = np.array([652.8, 256.0, 256.0])  # lut16Type: L* 100 is FF00h, a* and b* 0 are 8000h
NEW_STEPS = np.array([655.35, 257.0, 257.0])  # and lut8Type: FFFFh and 8080h


def is_workable(table: ColourTable) -> bool:
    """Whether it is a table from three channels, its axes alike and without a matrix, so that it can be worked here."""
    return (
        table.inputs == 3
        and table.nodes is not None
        and len(set(table.grid)) == 1
        and table.matrix is None
        and len(table.curves) == 3 + table.outputs
    )


def device_of_lab(table: ColourTable, lab: Floats) -> Floats:
    """Device numbers (n, outputs), 0 to 1, of CIELAB (n, 3) by a workable B2A table."""
    places = np.clip((lab - _LEAST) * _steps(table) / 65535, 0, 1)
    return _worked(table, places, connection_first=True)


def lab_of_device(table: ColourTable, device: Floats) -> Floats:
    """CIELAB (n, 3) of device numbers (n, 3), 0 to 1, by a workable A2B table."""
    return np.asarray(_worked(table, device, connection_first=False) * 65535 / _steps(table) + _LEAST)


def _steps(table: ColourTable) -> Floats:
    return OLD_STEPS if table.type == "mft2" else NEW_STEPS


def _worked(table: ColourTable, places: Floats, *, connection_first: bool) -> Floats:
    assert table.nodes is not None
    # Curves stand in the order in which they are used in the old types, those of the connection space first in the new.
    in_order = table.type in ("mft1", "mft2") or connection_first
    first, last = (3, table.outputs) if in_order else (table.outputs, 3)
    before, after = table.curves[:first], table.curves[first : first + last]
    if not in_order:
        before, after = after, before
    side = table.grid[0]
    read = tetra.along_axes if connection_first else tetra.between
    values = read(table.nodes.reshape(side, side, side, -1), _through(before, places))
    return _through(after, values)


def _through(curves: tuple[Floats, ...], values: Floats) -> Floats:
    return np.column_stack(
        [
            np.interp(values[:, number], np.linspace(0, 1, len(curve)), curve)
            for number, curve in enumerate(curves)
        ]
    )
