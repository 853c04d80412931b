"""The a*b* plane at several lightnesses: how far the colours of a solid reach at each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.report.plots.axes import Axes
from tackside.report.plots.series import style_of
from tackside.report.plots.svg import drawing, element, number

WIDTH, HEIGHT = 460, 454  # as the hue plane: a* and b* have the same scale
DIRECTIONS = 180
LEVELS = (20, 35, 50, 65, 80, 92)


@dataclass(frozen=True)
class Slice:
    """The outline (n, 2) a*, b* at ``lightness``, anticlockwise; the furthest colour in each direction from the
    slice's middle, so a bay that cannot be seen from there is bridged.
    """

    lightness: float
    ab: Floats


def slices_of(solid: GamutSolid, levels: Sequence[float] = LEVELS) -> tuple[Slice, ...]:
    """The slices that the solid reaches, dark to light."""
    points, faces = solid.surface
    found = ((level, _outline(_crossing(points[faces], level))) for level in levels)
    return tuple(Slice(level, ab) for level, ab in found if len(ab) > 2)


def slices_drawing(slices: Sequence[Slice]) -> str:
    """One outline a level, each with its L* at the outermost point."""
    most = max((float(np.abs(one.ab).max()) for one in slices), default=20.0)
    limit = 20 * math.ceil((most + 6) / 20)
    step = 20 if limit <= 60 else 40
    axes = Axes(WIDTH, HEIGHT, (-limit, limit), (-limit, limit), right=12, top=10, bottom=40)
    ticks = [step * n for n in range(-(limit // step), limit // step + 1)]
    parts = [axes.ground(ticks, ticks, "a*  (green to red)", "b*  (blue to yellow)")]
    for index, one in enumerate(slices):
        places = " ".join(",".join(map(number, axes.at(a, b))) for a, b in one.ab)
        parts.append(element("polygon", points=places, class_=f"line s{style_of(index)}"))
    levels = ", ".join(f"{one.lightness:g}" for one in slices)
    return drawing(
        WIDTH,
        HEIGHT,
        "Reach at several lightnesses",
        f"One outline for each L* of {levels}",
        "".join(parts),
        "plot",
    )


def _crossing(triangles: Floats, level: float) -> Floats:
    """The lines (m, 2, 2) a*, b* in which triangles (n, 3, 3) cross the plane of one lightness."""
    above = triangles[..., 0] > level
    crossed = triangles[(above.sum(axis=1) % 3) != 0]
    above = crossed[..., 0] > level
    # The corner that is alone on its side of the plane comes first: both its edges cross.
    alone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
    row = np.arange(len(crossed))
    tip, ends = crossed[row, alone], [crossed[row, (alone + turn) % 3] for turn in (1, 2)]
    lines = []
    for end in ends:
        share = (level - tip[:, 0]) / (end[:, 0] - tip[:, 0])
        lines.append(tip[:, 1:] + share[:, None] * (end - tip)[:, 1:])
    return np.stack(lines, axis=1) if len(crossed) else np.empty((0, 2, 2))


def _outline(lines: Floats) -> Floats:
    """The furthest crossing in each direction from the middle of lines (m, 2, 2)."""
    if len(lines) < 3:
        return np.empty((0, 2))
    lengths = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1)
    if lengths.sum() <= 0:
        return np.empty((0, 2))
    middle = np.average(lines.mean(axis=1), axis=0, weights=lengths)
    start, along = lines[:, 0] - middle, lines[:, 1] - lines[:, 0]
    turns = np.linspace(0, 2 * math.pi, DIRECTIONS, endpoint=False)
    outline = []
    for way in np.stack([np.cos(turns), np.sin(turns)], axis=1):
        # start + s along = r way, for s in 0 to 1 and r above 0
        across = along[:, 0] * way[1] - along[:, 1] * way[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            s = -(start[:, 0] * way[1] - start[:, 1] * way[0]) / across
            reach = start @ way + s * (along @ way)
        hit = (np.abs(across) > 1e-12) & (s >= 0) & (s <= 1) & (reach > 0)
        if hit.any():
            outline.append(middle + reach[hit].max() * way)
    return np.array(outline).reshape(-1, 2)
