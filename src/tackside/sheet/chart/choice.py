"""Which device colours a profile's sheet asks for.

What the eye is strict with comes first, in shares of the whole: a fine grey ramp, rings of near-greys around it, the
edges of the RGB cube, and skin, sky and foliage. The rest fills the gaps: each next colour is the candidate farthest
from all that are chosen (T. F. Gonzalez, Clustering to minimize the maximum intercluster distance, Theoretical
Computer Science 38, 1985), first on the cube's faces, then inside. Where an earlier reading bends, distances count for
more, so that colours stand closer. The shares are our own choice (docs/sources.md, S112).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import numpy as np

from tackside.colour.spaces import SRGB, Floats, lab_to_xyz
from tackside.profile.device.device_model import DeviceModel
from tackside.sheet.blocks.inks import TAKES_AWAY
from tackside.sheet.chart.bends import even, spacing_of
from tackside.sheet.colours import Colour, Numbers

MOST_GREYS = 41
NEAR = 0.07  # from a near-grey to its grey, of the range of a channel
FACES = 0.35  # of what fills the gaps
CANDIDATES = 2**13
# CIELAB D50, paper white: from deep to fair skin, from high to hazy sky, from shaded to young leaves. From memory.
SKIN = ((25.0, 10.0, 11.0), (45.0, 16.0, 20.0), (65.0, 18.0, 20.0), (84.0, 8.0, 14.0))
SKY = ((42.0, 2.0, -38.0), (58.0, -6.0, -30.0), (74.0, -9.0, -20.0), (88.0, -5.0, -8.0))
FOLIAGE = ((24.0, -12.0, 14.0), (38.0, -20.0, 26.0), (52.0, -26.0, 38.0), (66.0, -22.0, 46.0))
KNOWN = (("skin", SKIN, 50), ("sky", SKY, 100), ("foliage", FOLIAGE, 100))

Spacing = Callable[[Floats], Floats]


def chosen(count: int, known: DeviceModel | None = None) -> list[Colour]:
    """``count`` different colours (100 or more), without names; paper, black and the full colours lead.

    ``known``: what an earlier reading of the printer with the stock says. The same for the same arguments.
    """
    found: dict[Numbers, tuple[str, ...]] = {}
    for numbers, roles in (*_corners(), *_greys(count), *_near_greys(count), *_edges(count)):
        found.setdefault(numbers, roles)
    for numbers, roles in _known(count, known):
        found.setdefault(numbers, roles)
    spacing = even if known is None else spacing_of(known.to_lab)
    left = count - len(found)
    faces = math.floor(left * FACES + 0.5)
    for role, candidates, more in (("surface", _on_faces(), faces), ("inside", _inside(), left - faces)):
        for numbers in _filled(found, candidates, more, spacing):
            found[numbers] = (role,)
    return [Colour("", numbers, roles) for numbers, roles in found.items()]


def _numbers(rgb: Iterable[float]) -> Numbers:
    red, green, blue = (math.floor(value * 255 + 0.5) for value in rgb)
    return red, green, blue


def _corners() -> list[tuple[Numbers, tuple[str, ...]]]:
    """Paper and black, then the six full colours, an ink before its complement."""
    solids = [
        (_numbers(1.0 - taken for taken in takes), (f"solid-{ink.lower()}", f"ramp-{ink.lower()}", "surface"))
        for ink, takes in TAKES_AWAY.items()
    ]
    white, black = ("white", "grey", "ramp-k"), ("black", "solid-k", "grey", "ramp-k")
    return [((255, 255, 255), white), ((0, 0, 0), black), *solids]


def _greys(count: int) -> list[tuple[Numbers, tuple[str, ...]]]:
    """Equal numbers, closer towards both ends, where prints lose steps first."""
    steps = np.linspace(0, 1, min(8 + count // 20, MOST_GREYS))
    levels = 0.6 * steps + 0.2 * (1 - np.cos(np.pi * steps))
    return [(_numbers((level,) * 3), ("grey", "ramp-k")) for level in levels]


def _near_greys(count: int) -> list[tuple[Numbers, tuple[str, ...]]]:
    """Rings of six hues, a little off grey; every other ring is turned by half a step."""
    rings = max(count // 80, 2)
    found: list[tuple[Numbers, tuple[str, ...]]] = []
    for ring in range(rings):
        level = NEAR + (1 - 2 * NEAR) * (ring + 0.5) / rings
        for hue in range(6):
            angles = np.pi / 3 * (hue + ring % 2 / 2) - np.array([0, 2, 4]) * np.pi / 3
            found.append((_numbers(level + NEAR * np.cos(angles)), ("near-grey",)))
    return found


def _edges(count: int) -> list[tuple[Numbers, tuple[str, ...]]]:
    """Even steps along the twelve edges of the cube: the sharpest lines of the solid's surface."""
    between = 1 + count // 200
    found: list[tuple[Numbers, tuple[str, ...]]] = []
    for axis in range(3):
        for corner in range(4):
            for step in range(1, between + 1):
                rgb = np.roll([step / (between + 1), float(corner & 1), float(corner >> 1)], axis)
                found.append((_numbers(rgb), ("surface", *_ramp_of(rgb))))
    return found


def _ramp_of(rgb: Floats) -> tuple[str, ...]:
    """The ramp of an ink or overprint that a colour of the cube's edges lies on: only those that begin at paper do."""
    taken = 1 - rgb
    inks = {ink: np.array(takes) for ink, takes in TAKES_AWAY.items()}
    return tuple(
        f"ramp-{ink.lower()}"
        for ink, takes in inks.items()
        if np.allclose(taken, takes * taken.max()) and taken.max() > 0
    )


def _known(count: int, known: DeviceModel | None) -> list[tuple[Numbers, tuple[str, ...]]]:
    """Skin, sky and foliage along their own lines, as the earlier reading finds them, else as in sRGB."""
    found: list[tuple[Numbers, tuple[str, ...]]] = []
    for role, line, share in KNOWN:
        lab = _along(np.array(line), max(count // share, 2))
        rgb = _srgb(lab) if known is None else known.from_lab(lab, "relative", bpc=True)
        found += [(_numbers(np.clip(each, 0, 1)), (role,)) for each in rgb]
    return found


def _along(line: Floats, count: int) -> Floats:
    """``count`` points (count, 3) on a line through ``line`` (n, 3), alternately a little off it to both sides."""
    at = np.linspace(0, len(line) - 1, count)
    points = np.stack([np.interp(at, np.arange(len(line)), line[:, k]) for k in range(3)], axis=1)
    hue = np.arctan2(points[:, 2], points[:, 1])
    aside = 4.0 * (np.arange(count) % 3 - 1)  # ΔE*ab
    return np.asarray(points + np.column_stack([np.zeros(count), -np.sin(hue) * aside, np.cos(hue) * aside]))


def _srgb(lab: Floats) -> Floats:
    return np.asarray(SRGB.encode(np.maximum(lab_to_xyz(lab) @ SRGB.from_xyz_d50.T, 0)))


def _inside() -> Floats:
    return _even_points(CANDIDATES, 3)


def _on_faces() -> Floats:
    """Candidates spread evenly over the six faces."""
    flat = _even_points(CANDIDATES // 4, 2)
    return np.concatenate([np.insert(flat, axis, end, axis=1) for axis in range(3) for end in (0.0, 1.0)])


def _even_points(count: int, axes: int) -> Floats:
    """``count`` evenly spread points (count, axes) in the unit cube: multiples of powers of an irrational number,
    without their whole parts (Kronecker's sequence; the root of x^(axes + 1) = x + 1 is the golden ratio for one axis).
    """
    root = 1.5
    for _ in range(60):
        root = (1 + root) ** (1 / (axes + 1))
    return np.asarray(np.outer(np.arange(1, count + 1), root ** -np.arange(1.0, axes + 1)) % 1.0)


def _filled(held: Iterable[Numbers], candidates: Floats, more: int, spacing: Spacing) -> list[Numbers]:
    """``more`` of the candidates (n, 3), each the farthest from all before it by the spacing that its place asks."""
    points = np.unique(np.floor(candidates * 255 + 0.5), axis=0)
    columns = np.ascontiguousarray(points.T)
    wanted = spacing(points / 255) ** 2
    away = np.full(len(points), np.inf)  # squared, by the spacing wanted
    for numbers in held:
        away = np.minimum(away, _squares(columns, numbers) / wanted)
    found: list[Numbers] = []
    for _ in range(more):
        red, green, blue = (int(value) for value in points[int(np.argmax(away))])
        found.append((red, green, blue))
        away = np.minimum(away, _squares(columns, found[-1]) / wanted)
    return found


def _squares(columns: Floats, numbers: Numbers) -> Floats:
    """Squared distances of points (3, n) from one."""
    return np.asarray(sum((column - number) ** 2 for column, number in zip(columns, numbers, strict=True)))
