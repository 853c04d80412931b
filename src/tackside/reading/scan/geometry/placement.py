"""Where the print fell on the sheet: scale from the marks, rotation and offset from the sheet's own edges."""

from __future__ import annotations

from math import atan2, degrees

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.borders import Edge, EdgeName, axis_of
from tackside.reading.scan.marks.sheets import FoundSheet
from tackside.records import Placement

# A sheet that lay flat leaves 10 to 40 µm. Cockle moves the sheet's edges and its marks apart by more than rotation and
# offset are told to, long before patches are missed.
MOST_FLAT_UM = 60.0


def place(
    sheet: FoundSheet, edges: dict[EdgeName, Edge], size_mm: tuple[float, float], scan_ppi: float
) -> Placement:
    """The placement by the conventions of ``records.Placement``.

    ``scan_ppi`` is the scanner's own word for its resolution: a scanner that is off by 0.1 % puts that into both
    scales.
    """
    px_per_mm = scan_ppi / 25.4
    across, along = sheet.map.linear.T / px_per_mm
    if sheet.residual_um > MOST_FLAT_UM:
        edges = {}
    turned = _sheet_turn(edges)
    corner = _corner(edges, size_mm, px_per_mm)
    rotation = offset = None
    if turned is not None:
        rotation = _half_turns(degrees(atan2(across[1], across[0]) - turned))
    if turned is not None and corner is not None:
        shift = (sheet.map.to_px((0.0, 0.0)) - corner) / px_per_mm
        c, s = np.cos(turned), np.sin(turned)
        offset = (float(c * shift[0] + s * shift[1]), float(-s * shift[0] + c * shift[1]))
    return Placement(
        scale_x=float(np.hypot(*across)),
        scale_y=float(np.hypot(*along)),
        rotation_deg=rotation,
        skew_deg=_half_turns(degrees(atan2(-along[0], along[1]) - atan2(across[1], across[0]))),
        offset_mm=offset,
        residual_um=sheet.residual_um,
        marks_found=len(sheet.marks),
    )


def _sheet_turn(edges: dict[EdgeName, Edge]) -> float | None:
    """The direction of the sheet's own x axis in the scan, radians, from all edges that show."""
    if not edges:
        return None
    axes = [axis_of(name, edge) for name, edge in edges.items()]
    mean = np.mean(axes, axis=0)
    return float(atan2(mean[1], mean[0]))


def _corner(edges: dict[EdgeName, Edge], size_mm: tuple[float, float], px_per_mm: float) -> Floats | None:
    """The sheet's top left corner in pixels, from two edges that meet there or, failing that, opposite ones."""
    upright = edges.get("left") or _moved(edges.get("right"), -size_mm[0] * px_per_mm, across=True)
    level = edges.get("top") or _moved(edges.get("bottom"), -size_mm[1] * px_per_mm, across=False)
    if upright is None or level is None:
        return None
    solved = np.linalg.solve(
        np.column_stack([upright.direction, -level.direction]), level.point - upright.point
    )
    return np.asarray(upright.point + solved[0] * upright.direction)


def _moved(edge: Edge | None, by_px: float, *, across: bool) -> Edge | None:
    """An edge moved along the sheet's x axis (``across``) or y axis."""
    if edge is None:
        return None
    x, y = edge.direction
    axis = np.array([y, -x]) if across else np.array([-y, x])
    return Edge(edge.point + by_px * axis, edge.direction, edge.step)


def _half_turns(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0
