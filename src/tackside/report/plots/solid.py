"""The solid of colours in three dimensions: CIELAB seen from a corner, in parallel projection, facets shaded."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import SRGB, Floats, lab_to_xyz, xyz_d50_to_rgb
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.report.plots.svg import drawing, element, number, text

WIDTH, MARGIN = 460, 26
ELEVATION = math.radians(22)
MOST_SIDE = 16  # cells along a face's edge: finer ones only make the page heavy
LIGHT = np.array([-0.35, 0.75, 0.56])  # on the screen's axes: from the left, from above, from the viewer
SHADE = 0.38  # of the brightness, taken from facets that the light only grazes
TICK = 20


@dataclass(frozen=True)
class SolidView:
    """Screen axes of a turn about L*: ``turn`` in radians, 0 looks along b* from blue to yellow."""

    turn: float

    def project(self, lab: Floats) -> Floats:
        """(..., 3): right, up, towards the viewer, in CIELAB units."""
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        right = cos * lab[..., 1] + sin * lab[..., 2]
        away = cos * lab[..., 2] - sin * lab[..., 1]
        up = math.cos(ELEVATION) * lab[..., 0] + math.sin(ELEVATION) * away
        near = math.sin(ELEVATION) * lab[..., 0] - math.cos(ELEVATION) * away
        return np.stack([right, up, near], axis=-1)


def solid_drawing(solid: GamutSolid, turn_deg: float, title: str, *, most_side: int = MOST_SIDE) -> str:
    """The solid above a floor at L* 0, as tall as it needs. ``turn_deg`` is that of ``SolidView``."""
    facets = facets_of(solid, most_side)
    view = SolidView(math.radians(turn_deg))
    floor = _Floor.under(facets)
    place = _placing(view, facets, floor)
    parts = [_ground(view, place, floor), _facets(view, place, facets), _lightness(view, place, floor)]
    description = "CIELAB seen from above and one side; each facet in the colour that it stands for, shaded"
    return drawing(WIDTH, place.height, title, description, "".join(parts), "plot solid")


def facets_of(solid: GamutSolid, most_side: int = MOST_SIDE) -> Floats:
    """Four-cornered facets (m, 4, 3) CIELAB of all faces of the solid's grids, faces that two grids share once.

    ``most_side``: cells along a face's edge, at most, where there is one grid.
    """
    found = []
    for grid in solid.grids:
        stride = max(1, (grid.shape[0] - 1) // most_side) if len(solid.grids) == 1 else 2
        coarse = grid[::stride, ::stride, ::stride]
        for axis in range(3):
            for end in (0, -1):
                face = np.take(coarse, end, axis=axis)
                found.append(np.stack([face[:-1, :-1], face[1:, :-1], face[1:, 1:], face[:-1, 1:]], axis=2))
    facets = np.concatenate([face.reshape(-1, 4, 3) for face in found])
    _, first = np.unique(facets.reshape(len(facets), -1).round(3), axis=0, return_index=True)
    return np.asarray(facets[np.sort(first)])


@dataclass(frozen=True)
class _Floor:
    """The part of the a*b* plane that is drawn: whole steps around the solid and the neutral axis."""

    a: tuple[float, float]
    b: tuple[float, float]

    @classmethod
    def under(cls, facets: Floats) -> _Floor:
        low = np.minimum(facets[..., 1:].min(axis=(0, 1)), -TICK)
        high = np.maximum(facets[..., 1:].max(axis=(0, 1)), TICK)
        low, high = TICK * np.floor(low / TICK), TICK * np.ceil(high / TICK)
        return cls((float(low[0]), float(high[0])), (float(low[1]), float(high[1])))

    @property
    def corners(self) -> Floats:
        return np.array([[0, a, b] for a in self.a for b in self.b], dtype=np.float64)


class _Placing:
    """From CIELAB units on the screen's axes to the drawing's own."""

    def __init__(self, low: Floats, high: Floats) -> None:
        wide, tall = high - low
        self.scale = (WIDTH - 2 * MARGIN) / wide
        self.height = float(self.scale * tall + 2 * MARGIN)
        self.left = MARGIN - self.scale * low[0]
        self.bottom = MARGIN + self.scale * high[1]

    def at(self, seen: Floats) -> Floats:
        return np.stack(
            [self.left + self.scale * seen[..., 0], self.bottom - self.scale * seen[..., 1]], axis=-1
        )


def _placing(view: SolidView, facets: Floats, floor: _Floor) -> _Placing:
    scale_top = _scale_foot(view, floor) + np.array([100.0, 0, 0])
    seen = view.project(np.concatenate([floor.corners, scale_top[None], facets.reshape(-1, 3)]))[:, :2]
    return _Placing(seen.min(axis=0), seen.max(axis=0))


def _scale_foot(view: SolidView, floor: _Floor) -> Floats:
    """Where the scale of L* stands: the floor's leftmost corner."""
    return np.asarray(floor.corners[np.argmin(view.project(floor.corners)[:, 0])])


def _ground(view: SolidView, place: _Placing, floor: _Floor) -> str:
    """The a*b* plane at L* 0, a line every 20, the axes named at the ends nearer to the viewer."""
    lines = [
        *(
            _line(view, place, [0, at, floor.b[0]], [0, at, floor.b[1]], _class(at))
            for at in np.arange(floor.a[0], floor.a[1] + 1, TICK)
        ),
        *(
            _line(view, place, [0, floor.a[0], at], [0, floor.a[1], at], _class(at))
            for at in np.arange(floor.b[0], floor.b[1] + 1, TICK)
        ),
    ]
    ends = (
        [("+a*", [0, floor.a[1], 0]), ("\u2212a*", [0, floor.a[0], 0])],
        [("+b*", [0, 0, floor.b[1]]), ("\u2212b*", [0, 0, floor.b[0]])],
    )
    for pair in ends:
        name, end = max(pair, key=lambda each: view.project(np.array(each[1], dtype=float))[2])
        x, y = place.at(view.project(np.array(end, dtype=float)))
        lines.append(text(float(x) + (12 if x > WIDTH / 2 else -12), float(y) + 15, name, "axis middle"))
    return "".join(lines)


def _class(at: float) -> str:
    return "grid zero" if at == 0 else "grid"


def _lightness(view: SolidView, place: _Placing, floor: _Floor) -> str:
    """A scale of L* on the floor's leftmost corner."""
    foot = _scale_foot(view, floor)
    up = np.array([1.0, 0, 0])
    parts = [_line(view, place, foot.tolist(), (foot + 100 * up).tolist(), "grid zero")]
    for at in range(0, 101, TICK):
        x, y = place.at(view.project(foot + at * up))
        parts.append(
            element("line", x1=float(x) - 4, y1=float(y), x2=float(x), y2=float(y), class_="grid zero")
        )
        parts.append(text(float(x) - 7, float(y) + 4, str(at), "tick end"))
    x, y = place.at(view.project(foot + 100 * up))
    parts.append(text(float(x), float(y) - 10, "L*", "axis middle"))
    return "".join(parts)


def _line(view: SolidView, place: _Placing, start: list[float], end: list[float], class_: str) -> str:
    (x1, y1), (x2, y2) = place.at(view.project(np.array([start, end], dtype=float))).tolist()
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, class_=class_)


def _facets(view: SolidView, place: _Placing, facets: Floats) -> str:
    """The furthest first, so that nearer ones cover them."""
    seen = view.project(facets)
    fills = _shaded(seen, facets.mean(axis=1))
    at = place.at(seen)
    parts = []
    for facet in np.argsort(seen[..., 2].mean(axis=1), kind="stable"):
        points = " ".join(f"{number(x)},{number(y)}" for x, y in at[facet].round(1).tolist())
        fill = fills[facet]
        # A stroke of its own colour closes the hairline between neighbours.
        parts.append(f'<polygon points="{points}" fill="{fill}" stroke="{fill}"/>')
    return f'<g class="facets">{"".join(parts)}</g>'


def _shaded(seen: Floats, middle: Floats) -> list[str]:
    """Screen colours: each facet's own, darker the further it turns from the light."""
    normal = np.cross(seen[:, 2] - seen[:, 0], seen[:, 3] - seen[:, 1])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    normal = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    normal *= np.where(normal[:, 2:] < 0, -1, 1)  # the side that faces the viewer
    facing = np.clip(normal @ LIGHT, 0, 1)
    linear = SRGB.decode(np.clip(xyz_d50_to_rgb(lab_to_xyz(middle), SRGB), 0, 1))
    rgb = SRGB.encode(linear * (1 - SHADE + SHADE * facing)[:, None])
    return [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in np.rint(255 * np.clip(rgb, 0, 1)).astype(int)]
