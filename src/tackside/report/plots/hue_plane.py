"""The a*b* plane: how far each trial's colours reach, and where its solids lie."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, Wording
from tackside.report.plots.axes import Axes
from tackside.report.plots.series import mark, style_of
from tackside.report.plots.svg import drawing, element, number, text

WIDTH, HEIGHT = 460, 454  # a* and b* have the same scale: the frame inside the margins is square
FINE_STEP, STEP = 20, 40


@dataclass(frozen=True)
class Reach:
    """One trial: ``ab`` (n, 2) of all its patches; ``solids`` letter → (a*, b*, screen colour)."""

    label: str
    ab: Floats
    solids: dict[str, tuple[float, float, str]]


def hue_plane(reaches: Sequence[Reach], aim_ab: Floats | None = None, wording: Wording = TERMINAL) -> str:
    """Outlines (convex, seen along the L* axis) and solids of the trials; ``aim_ab`` is what the file asks
    for.
    """
    everything = [reach.ab for reach in reaches] + ([] if aim_ab is None else [aim_ab])
    most = max((float(np.abs(ab).max()) for ab in everything if len(ab)), default=STEP)
    limit = FINE_STEP * math.ceil((most + 4) / FINE_STEP)
    step = FINE_STEP if limit <= 3 * FINE_STEP else STEP
    axes = Axes(WIDTH, HEIGHT, (-limit, limit), (-limit, limit), right=12, top=10, bottom=40)
    ticks = [step * n for n in range(-(limit // step), limit // step + 1)]
    a_star, b_star = (wording.text(Message(f"report.axis-{each}")) for each in ("a", "b"))
    parts = [axes.ground(ticks, ticks, a_star, b_star)]
    if aim_ab is not None and len(aim_ab):
        parts.append(_outline(axes, aim_ab, "line aim"))
    for index, reach in enumerate(reaches):
        parts.append(_outline(axes, reach.ab, f"line s{style_of(index)}"))
    for index, reach in enumerate(reaches):
        parts += [mark(index, *axes.at(a, b), fill=shown) for a, b, shown in reach.solids.values()]
    parts += _letters(axes, reaches)
    names = ", ".join(reach.label for reach in reaches)
    return drawing(
        WIDTH,
        HEIGHT,
        wording.text(Message("report.hue-plane")),
        wording.text(Message("report.hue-plane-told", names=names)),
        "".join(parts),
        "plot",
    )


def outline(ab: Floats) -> Floats:
    """The convex hull of points (n, 2), anticlockwise (Andrew's monotone chain, 1979); fewer than 3 come back
    as given.
    """
    points = sorted({(float(a), float(b)) for a, b in ab})
    if len(points) < 3:
        return np.asarray(points).reshape(-1, 2)
    half = [_chain(points), _chain(points[::-1])]
    return np.asarray(half[0][:-1] + half[1][:-1])


def _chain(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for point in points:
        while len(chain) >= 2 and _turns_left(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _turns_left(o: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _outline(axes: Axes, ab: Floats, class_: str) -> str:
    points = " ".join(",".join(map(number, axes.at(a, b))) for a, b in outline(ab))
    return element("polygon", points=points, class_=class_)


def _letters(axes: Axes, reaches: Sequence[Reach]) -> list[str]:
    """C, M, Y, R, G, B once each, just outside the furthest solid of that hue."""
    furthest: dict[str, tuple[float, float]] = {}
    for reach in reaches:
        for letter, (a, b, _) in reach.solids.items():
            if letter not in furthest or math.hypot(a, b) > math.hypot(*furthest[letter]):
                furthest[letter] = (a, b)
    parts = []
    for letter, (a, b) in furthest.items():
        x, y = axes.at(a, b)
        chroma = math.hypot(a, b) or 1.0
        parts.append(text(x + 15 * a / chroma, y - 15 * b / chroma + 4, letter, "letter middle"))
    return parts
