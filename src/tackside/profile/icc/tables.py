"""A profile's colour tables and curves decoded, to look into them; converting is LittleCMS's work, but for tables to
XYZ (``link.convert``).

Source: ISO 15076-1:2010, clause 10: curveType, parametricCurveType, lut8Type, lut16Type, lutAToBType and
lutBToAType. Any bytes may come in: what does not hold together is BadTable.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.messages.message import Message

MOST_NODES = 16_000_000
FORMULA_PLACES = 4097
PARAMETERS = (1, 3, 4, 5, 7)  # of a parametric curve, by function type


class BadTable(Exception):
    """A table or curve that does not hold together, with the ``reason``. Never leaves this floor."""

    def __init__(self, code: str, /, **values: int) -> None:
        self.reason = Message(code, **values)
        super().__init__(self.reason)


@dataclass(frozen=True)
class ColourTable:
    """A multi-dimensional table: ``nodes`` (n, outputs) as stored, 0 to 1; the curves before and after it.

    ``nodes`` is None where the type goes without a table (curves and matrix alone). ``curves`` stand as in the tag:
    those before and after the table of lut8Type and lut16Type; B, M and A curves of the newer types. ``matrix``
    (3, 4), with its offsets as the last column, is that of the newer types.
    """

    type: str
    inputs: int
    outputs: int
    grid: tuple[int, ...]
    nodes: Floats | None
    curves: tuple[Floats, ...]
    matrix: Floats | None = None


def read_table(content: memoryview) -> ColourTable:
    """lut8Type, lut16Type, lutAToBType or lutBToAType. Raises BadTable."""
    kind = bytes(content[:4])
    if kind in (b"mft1", b"mft2"):
        return _old_table(content, kind.decode())
    if kind in (b"mAB ", b"mBA "):
        return _new_table(content, kind.decode())
    raise BadTable("profile-fault.broken.no-table-type")


def read_curve(content: memoryview) -> Floats:
    """Samples of a curve over 0 to 1, at least two: a table as stored, a formula at FORMULA_PLACES. Raises BadTable."""
    return _curve(content)[0]


def _old_table(content: memoryview, kind: str) -> ColourTable:
    if len(content) < 52:
        raise BadTable("profile-fault.broken.cut-short")
    inputs, outputs, side = struct.unpack_from(">BBB", content, 8)
    if not (inputs and outputs) or side < 2:
        raise BadTable("profile-fault.broken.claims-grid", inputs=inputs, outputs=outputs, side=side)
    if kind == "mft2":
        before, after = struct.unpack_from(">HH", content, 48)
        start, width = 52, 2
    else:
        before, after, start, width = 256, 256, 48, 1
    if before < 2 or after < 2:
        raise BadTable("profile-fault.broken.short-curves")
    count = _node_count((side,) * inputs)
    parts = (inputs * before, count * outputs, outputs * after)
    if start + width * sum(parts) > len(content):
        raise BadTable("profile-fault.broken.shorter-than-figures")
    values = _numbers(content, start, sum(parts), width)
    first, nodes, last = np.split(values, np.cumsum(parts)[:2])
    curves = (*first.reshape(inputs, before), *last.reshape(outputs, after))
    return ColourTable(kind, inputs, outputs, (side,) * inputs, nodes.reshape(count, outputs), curves)


def _new_table(content: memoryview, kind: str) -> ColourTable:
    if len(content) < 32:
        raise BadTable("profile-fault.broken.cut-short")
    inputs, outputs = struct.unpack_from(">BB", content, 8)
    b_place, matrix_place, m_place, table_place, a_place = struct.unpack_from(">5I", content, 12)
    if not (1 <= inputs <= 16 and 1 <= outputs <= 16):
        raise BadTable("profile-fault.broken.claims", inputs=inputs, outputs=outputs)
    if not b_place:
        raise BadTable("profile-fault.broken.no-b-curves")
    if matrix_place and matrix_place + 48 > len(content):
        raise BadTable("profile-fault.broken.matrix-beyond")
    connection, device = (outputs, inputs) if kind == "mAB " else (inputs, outputs)
    matrix = None
    if matrix_place:
        figures = np.array(struct.unpack_from(">12i", content, matrix_place)) / 65536
        matrix = np.column_stack([figures[:9].reshape(3, 3), figures[9:]])
    curves = _curves(content, b_place, connection)
    curves += _curves(content, m_place, connection) if m_place else ()
    curves += _curves(content, a_place, device) if a_place else ()
    if not table_place:
        if inputs != outputs:
            raise BadTable("profile-fault.broken.channels-differ")
        return ColourTable(kind, inputs, outputs, (), None, curves, matrix)
    if table_place + 20 > len(content):
        raise BadTable("profile-fault.broken.grid-beyond")
    grid = tuple(content[table_place : table_place + inputs])
    width = content[table_place + 16]
    if min(grid) < 2 or width not in (1, 2):
        raise BadTable("profile-fault.broken.grid-small")
    count = _node_count(grid)
    if table_place + 20 + count * outputs * width > len(content):
        raise BadTable("profile-fault.broken.shorter-than-figures")
    nodes = _numbers(content, table_place + 20, count * outputs, width).reshape(count, outputs)
    return ColourTable(kind, inputs, outputs, grid, nodes, curves, matrix)


def _node_count(grid: tuple[int, ...]) -> int:
    count = 1
    for side in grid:
        count *= side
        if count > MOST_NODES:
            raise BadTable("profile-fault.broken.too-many-nodes")
    return count


def _numbers(content: memoryview, start: int, count: int, width: int) -> Floats:
    """Unsigned big-endian integers of ``width`` bytes as 0 to 1."""
    stored: NDArray[np.unsignedinteger] = np.frombuffer(content, f">u{width}", count, start)
    return np.asarray(stored / (256.0**width - 1), dtype=np.float64)


def _curves(content: memoryview, place: int, count: int) -> tuple[Floats, ...]:
    """Curves one after the other, each on a boundary of four bytes."""
    found = []
    for _ in range(count):
        if place >= len(content):
            raise BadTable("profile-fault.broken.curves-beyond")
        samples, length = _curve(content[place:])
        found.append(samples)
        place += -(-length // 4) * 4
    return tuple(found)


def _curve(content: memoryview) -> tuple[Floats, int]:
    """Samples of one curve and its length in bytes."""
    kind = bytes(content[:4])
    if kind == b"curv" and len(content) >= 12:
        return _sampled(content)
    if kind == b"para" and len(content) >= 12:
        return _parametric(content)
    raise BadTable("profile-fault.broken.no-curve")


def _sampled(content: memoryview) -> tuple[Floats, int]:
    (count,) = struct.unpack_from(">I", content, 8)
    if count == 0:
        return np.array([0.0, 1.0]), 12
    if 12 + 2 * count > len(content):
        raise BadTable("profile-fault.broken.curve-cut-short")
    if count == 1:
        power = struct.unpack_from(">H", content, 12)[0] / 256
        return np.asarray(_places() ** power), 14
    return _numbers(content, 12, count, 2), 12 + 2 * count


def _parametric(content: memoryview) -> tuple[Floats, int]:
    """parametricCurveType: Y = (aX + b)^g + c from X = d (or -b/a) on, a straight line or a constant before."""
    (function,) = struct.unpack_from(">H", content, 8)
    if function >= len(PARAMETERS):
        raise BadTable("profile-fault.broken.curve-kind", function=function)
    length = 12 + 4 * PARAMETERS[function]
    if length > len(content):
        raise BadTable("profile-fault.broken.curve-cut-short")
    given = [value / 65536 for value in struct.unpack_from(f">{PARAMETERS[function]}i", content, 12)]
    return _formula(function, given), length


def _formula(function: int, given: list[float]) -> Floats:
    x = _places()
    g, a, b, offset, start, slope, below = given[0], 1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if function in (1, 2):
        a, b = given[1:3]
        offset = below = given[3] if function == 2 else 0.0
        start = -b / a if a else 0.0
    if function in (3, 4):
        a, b, slope, start = given[1:5]
        offset, below = (given[5], given[6]) if function == 4 else (0.0, 0.0)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        upper = np.power(np.maximum(a * x + b, 0), g) + offset
    samples = np.where(x >= start, upper, slope * x + below)
    if not np.all(np.isfinite(samples)):
        raise BadTable("profile-fault.broken.not-finite")
    return samples


def _places() -> Floats:
    return np.linspace(0, 1, FORMULA_PLACES)
