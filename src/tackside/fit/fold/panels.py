"""Panels: the open sheet cut by its creases, each part with its name and the way its contents stand; and which face of
a stock a card has outside. Either may be, and by default it is the one that takes ink.

On the outside face ``front`` lies right of a vertical crease and below a horizontal one, ``back`` is its neighbour.
On the inside face (the sheet turned over about its vertical axis) ``inside-left`` is the one behind the
front: the left page, or the upper one, for whoever opens the card and reads.

Richer folds, all common practice. Roll: ``flap``, ``back``, ``front`` and three insides. Gate: two wings ``front-left``
and ``front-right`` (or ``-upper``, ``-lower``) that meet on the ``back``'s other face. Accordion: the back cover
lies on the inside face, behind the panel furthest from the front. Quarter fold: all is printed on the outside face,
where the upper half turns inwards and becomes the two insides.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from tackside.fit.fold.folds import CreaseGrid, FoldKind, fold_of, grid_of
from tackside.fit.model import Fold, Panel, TurnDeg
from tackside.records import Crease, Stock
from tackside.records.sheet_plan import Side
from tackside.records.stock import CoatedSides, Direction
from tackside.units import Box

# How a panel comes before its reader: the ``cover`` with the card closed; ``behind``, turning the closed card over
# like a page about the upright axis; ``open``, with the cover turned or lifted; ``end``, the back cover of an
# accordion, which is printed on the inside face.
Read = Literal["cover", "behind", "open", "end"]

# The clockwise turn of contents on the face that they are printed on, for how the crease lies on the sheet and where
# the fold of the standing card is.
_TURNS: dict[tuple[Direction, Fold], dict[Read, int]] = {
    ("vertical", "left"): {"cover": 0, "behind": 0, "open": 0, "end": 0},
    ("vertical", "top"): {"cover": 270, "behind": 90, "open": 270, "end": 90},
    ("horizontal", "top"): {"cover": 0, "behind": 180, "open": 180, "end": 0},
    ("horizontal", "left"): {"cover": 90, "behind": 90, "open": 270, "end": 270},
}
_QUARTERS: tuple[TurnDeg, ...] = (0, 90, 180, 270)
# Names row by row from the top left, for panels side by side: of the outside face, then of the inside face.
_SIDE_BY_SIDE: dict[FoldKind, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "flat": (("front",), ("back",)),
    "side": (("back", "front"), ("inside-left", "inside-right")),
    "roll": (("flap", "back", "front"), ("inside-left", "inside-middle", "inside-right")),
    "gate": (("front-right", "back", "front-left"), ("inside-left", "inside-middle", "inside-right")),
    "accordion": (("outside-left", "outside-middle", "front"), ("inside-left", "inside-middle", "back")),
    "quarter": (
        ("inside-right", "inside-left", "back", "front"),
        ("hidden-1", "hidden-2", "hidden-3", "hidden-4"),
    ),
}
# The same for panels one above the other. Turning the sheet over about its vertical axis keeps the order of rows.
_STACKED: dict[FoldKind, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "top": (("back", "front"), ("inside-right", "inside-left")),
    "roll": (("flap", "back", "front"), ("inside-right", "inside-middle", "inside-left")),
    "gate": (("front-upper", "back", "front-lower"), ("inside-upper", "inside-middle", "inside-lower")),
    "accordion": (("outside-left", "outside-middle", "front"), ("back", "inside-middle", "inside-left")),
}


def creases_on(size_mm: tuple[float, float], creases: Sequence[Crease], side: Side) -> tuple[Crease, ...]:
    """The creases as they lie on that face: turning the sheet over mirrors the vertical ones."""
    if side == "front":
        return tuple(creases)
    width = size_mm[0]
    return tuple(
        crease.model_copy(update={"at_mm": width - crease.at_mm})
        if crease.direction == "vertical"
        else crease
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
    printer is known here. ``fold`` says how the finished card stands: with the fold at the ``left`` or at the
    ``top``, by default as the crease lies (vertical: left; horizontal: top). Raises BadRecord for a crease outside the
    sheet or one that can't fold as it says.
    """
    kind = fold_of(size_mm, creases)
    grid = grid_of(size_mm, creases_on(size_mm, creases, side))
    outside, inside = _names(kind, grid)
    names = outside if side == "front" else inside
    behind = _turned_over(inside if side == "front" else outside, len(grid.columns))
    crease: Direction = "vertical" if len(grid.columns) > 1 else "horizontal"
    boxes = [Box(x, y, w, h) for y, h in grid.rows for x, w in grid.columns]
    return tuple(
        Panel(
            name=name,
            trim=box,
            printable=box,
            turn_deg=0 if kind == "flat" else turn_of(name, kind, crease, fold),
            behind=other,
        )
        for name, other, box in zip(names, behind, boxes, strict=True)
    )


def turn_of(name: str, kind: FoldKind, crease: Direction, fold: Fold | None = None) -> TurnDeg:
    """The clockwise turn of a panel's contents on its face; ``fold`` None stands the card as the crease lies."""
    stands = fold or ("left" if crease == "vertical" else "top")
    turn = _TURNS[crease, stands][_read(name, kind)]
    # The quarter fold brings its insides in from above; a gate with one wing above the other keeps its back in place
    # and turns its wings, where other folds keep the front.
    if (kind == "quarter" and name.startswith("inside")) or (kind == "gate" and crease == "horizontal"):
        turn += 180
    return _QUARTERS[turn // 90 % 4]


def _read(name: str, kind: FoldKind) -> Read:
    if name == "back":
        return "end" if kind == "accordion" else "behind"
    if name.startswith("inside"):
        return "open"
    if name.startswith("outside"):
        return "behind"
    # Along a row of more than three panels each next flap is turned away from the reader.
    if name.startswith("flap-") and int(name.removeprefix("flap-")) % 2 == 0:
        return "behind"
    return "cover"


def _names(kind: FoldKind, grid: CreaseGrid) -> tuple[Sequence[str], Sequence[str]]:
    """Names on the outside and on the inside face, row by row from the top left. No two of a face are the same."""
    columns, rows = len(grid.columns), len(grid.rows)
    if kind != "other":
        return _SIDE_BY_SIDE[kind] if kind not in _STACKED or columns > 1 else _STACKED[kind]
    count = columns * rows
    if columns > 1 and rows > 1:  # a grid by numbers, its lower right corner the front
        hidden = [f"hidden-{place}" for place in range(1, count + 1)]
        return [*(f"panel-{place}" for place in range(1, count - 1)), "back", "front"], hidden
    flaps = [f"flap-{place}" for place in range(count - 2, 0, -1)]
    pages = ["inside-left", *(f"inside-{place}" for place in range(2, count)), "inside-right"]
    return [*flaps, "back", "front"], pages if columns > 1 else pages[::-1]


def _turned_over(names: Sequence[str], columns: int) -> list[str]:
    """The names of the other face as they lie behind this one: each row mirrored."""
    return [name for start in range(0, len(names), columns) for name in names[start : start + columns][::-1]]


OTHER: dict[Side, Side] = {"front": "back", "back": "front"}
_TURNED: dict[CoatedSides, CoatedSides] = {"front": "back", "back": "front"}


def outside_of(stock: Stock) -> Side:
    """The coated face, where one alone is; else the front."""
    return "back" if stock.coated == "back" else "front"


def with_outside(stock: Stock, outside: Side) -> Stock:
    """The stock as a card sees it whose outside lies on that face: its "front" is the card's outside.

    Turned over about its vertical axis, as all sheets are here: vertical creases and the coating change sides. Which
    way a crease folds is said from the card's inside, and stays.
    """
    if outside == "front":
        return stock
    return stock.model_copy(
        update={
            "creases": creases_on(stock.open_size_mm, stock.creases, "back"),
            "coated": _TURNED.get(stock.coated, stock.coated),
        }
    )
