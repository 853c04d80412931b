"""Panels: the open sheet cut by its creases, each part with its name and the way its contents stand.

Names on the outside face: ``front`` lies right of a vertical crease and below a horizontal one, ``back``
is its neighbour. On the inside face (the sheet turned over about its vertical axis) ``inside-left`` is
the one behind the front: the left page, or the upper one, for whoever opens the card and reads.

More creases are common practice: three panels in a row are ``front``, ``back`` and a ``flap``; a
crease each way is the quarter fold, all of it printed on the outside face, where the upper half
turns inwards and becomes the two insides.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from tackside.bench.records import Crease
from tackside.bench.records.sheet_plan import Side
from tackside.bench.records.stock import Direction
from tackside.fit.model import Fold, Panel, TurnDeg
from tackside.units import Box

_TURNS: tuple[TurnDeg, ...] = (0, 90, 180, 270)


def creases_on(size_mm: tuple[float, float], creases: Sequence[Crease], side: Side) -> tuple[Crease, ...]:
    """The creases as they lie on that face: turning the sheet over mirrors the vertical ones."""
    if side == "front":
        return tuple(creases)
    width = size_mm[0]
    return tuple(
        Crease(direction="vertical", at_mm=width - crease.at_mm) if crease.direction == "vertical" else crease
        for crease in creases
    )


def panels(
    size_mm: tuple[float, float],
    creases: Sequence[Crease] = (),
    side: Side = "front",
    fold: Fold | None = None,
) -> tuple[Panel, ...]:
    """The panels of the open sheet, row by row from the top left, tiling it exactly.

    ``creases`` are those of the stock, as they lie on the front; ``printable`` is the whole trim, as no
    printer is known here. ``fold`` says how the finished card stands: with the fold at the
    ``left`` or at the ``top``, by default as the crease lies (vertical: left; horizontal: top).
    """
    width, height = size_mm
    lying = creases_on(size_mm, creases, side)
    columns = _spans(width, [crease.at_mm for crease in lying if crease.direction == "vertical"])
    rows = _spans(height, [crease.at_mm for crease in lying if crease.direction == "horizontal"])
    names = _names(len(columns), len(rows), side)
    boxes = [Box(x, y, w, h) for y, h in rows for x, w in columns]
    if len(names) == 1:
        return (Panel(name=side, trim=boxes[0], printable=boxes[0]),)
    crease: Direction = "vertical" if len(columns) > 1 else "horizontal"
    quarter = len(columns) > 1 and len(rows) > 1
    return tuple(
        Panel(
            name=name,
            trim=box,
            printable=box,
            turn_deg=turn_of(name, crease, fold, heads_down=quarter and name.startswith("inside")),
        )
        for name, box in zip(names, boxes, strict=True)
    )


def folded_size(size_mm: tuple[float, float], creases: Sequence[Crease]) -> tuple[float, float]:
    """The folded card, [width, height] as fed: the widest part between creases each way.

    An off-centre crease leaves the larger part standing out, and that is what an envelope must take.
    """
    sizes = [box.trim for box in panels(size_mm, creases)]
    return max(box.w for box in sizes), max(box.h for box in sizes)


def layers(creases: Sequence[Crease]) -> int:
    """How many thicknesses of card lie on each other once it is folded."""
    across = len({crease.at_mm for crease in creases if crease.direction == "vertical"}) + 1
    along = len({crease.at_mm for crease in creases if crease.direction == "horizontal"}) + 1
    return across * along


def _spans(length: float, cuts: Sequence[float]) -> list[tuple[float, float]]:
    """Start and length of each part of an edge; two creases at one place count once."""
    inner = sorted({cut for cut in cuts if 0 < cut < length})
    return [(start, end - start) for start, end in pairwise([0.0, *inner, length])]


def _names(columns: int, rows: int, side: Side) -> list[str]:
    """Names row by row from the top left. No two are the same."""
    count = columns * rows
    if columns > 1 and rows > 1:
        return _grid_names(columns, rows, side)
    if count == 1:
        return [side]
    if side == "back":
        middle = ["inside-middle"] if count == 3 else [f"inside-{place}" for place in range(2, count)]
        pages = ["inside-left", *middle, "inside-right"]
        return pages if columns > 1 else pages[::-1]
    flaps = ["flap"] if count == 3 else [f"flap-{place}" for place in range(count - 2, 0, -1)]
    return [*flaps, "back", "front"]


def _grid_names(columns: int, rows: int, side: Side) -> list[str]:
    """The quarter fold by its parts; any richer grid by numbers, its lower right corner the front."""
    if side == "back":
        return [f"hidden-{place}" for place in range(1, columns * rows + 1)]
    if (columns, rows) == (2, 2):
        return ["inside-right", "inside-left", "back", "front"]
    return [*(f"panel-{place}" for place in range(1, columns * rows - 1)), "back", "front"]


def turn_of(name: str, crease: Direction, fold: Fold | None = None, *, heads_down: bool = False) -> TurnDeg:
    """The clockwise turn of a panel's contents, found by folding: see how each panel is held.

    The front is seen from before with the fold at its left or top, the back from behind, the insides with
    the front opened to the left or lifted over the top. ``heads_down``: the half that the quarter fold
    brings in from above.
    """
    stands = fold or ("left" if crease == "vertical" else "top")
    inside = name.startswith("inside")
    # Along a row of panels each next one is turned away from the reader.
    away = name == "back" or (name.startswith("flap-") and int(name.removeprefix("flap-")) % 2 == 0)
    if crease == "vertical":
        turn = 0 if stands == "left" else (90 if away else 270)
    elif stands == "top":
        turn = 180 if inside or away else 0
    else:
        turn = 270 if inside else 90
    return _TURNS[(turn // 90 + (2 if heads_down else 0)) % 4]
