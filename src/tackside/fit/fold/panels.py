"""Panels: the open sheet cut by its creases, each part with its name and the way its contents stand; which fold the
creases make, and the open sheet that a folded card comes from; and which face of a stock a card has outside. Either may
be, and by default it is the one that takes ink.

A crease folds ``in`` where the inside faces meet, which is the rule, or ``out``, as every other one of an accordion.

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
from itertools import pairwise
from typing import Literal, NamedTuple

from tackside.errors import BadRecord
from tackside.fit.model import Fold, FoldName, Panel, TurnDeg
from tackside.fit.sizes.formats import SAME_MM
from tackside.messages.place import Place
from tackside.records import Crease, Stock
from tackside.records.sheet_plan import Side
from tackside.records.stock import CoatedSides, Direction
from tackside.units import Box

FoldKind = FoldName

# The flap of a roll fold is this much narrower, so that it lies inside without buckling (docs/sources.md, S9).
TUCK_MM = 1.5


class OpenSheet(NamedTuple):
    """The sheet before folding: [width, height] as fed, and its creases."""

    size_mm: tuple[float, float]
    creases: tuple[Crease, ...]


class CreaseGrid(NamedTuple):
    """Start and length of each column and each row between the creases, in mm, from the top left."""

    columns: tuple[tuple[float, float], ...]
    rows: tuple[tuple[float, float], ...]


def grid_of(size_mm: tuple[float, float], creases: Sequence[Crease]) -> CreaseGrid:
    """The sheet cut by its creases; two creases in one place count once. Raises BadRecord for one outside it."""
    width, height = size_mm
    return CreaseGrid(_spans(width, creases, "vertical"), _spans(height, creases, "horizontal"))


def fold_of(size_mm: tuple[float, float], creases: Sequence[Crease]) -> FoldKind:
    """The way that the creases fold the sheet. Raises BadRecord where they can't be folded as they say.

    One crease: ``side`` (vertical) or ``top`` (horizontal). Two in one direction: ``accordion`` where the first
    folds out, ``gate`` where both outer panels find room side by side on the middle one, else ``roll``. One each
    way: ``quarter``.
    """
    columns, rows = grid_of(size_mm, creases)
    shape = len(columns), len(rows)
    _refuse_wrong_way(creases, shape)
    if shape in ((1, 1), (2, 1), (1, 2), (2, 2)):
        return {(1, 1): "flat", (2, 1): "side", (1, 2): "top", (2, 2): "quarter"}[shape]  # type: ignore[return-value]
    if shape not in ((3, 1), (1, 3)):
        return "other"
    if any(crease.folds == "out" for crease in creases):
        return "accordion"
    first, middle, last = (length for _, length in (columns if len(columns) == 3 else rows))
    return "gate" if first + last <= middle + SAME_MM else "roll"


def opened(
    folded_mm: tuple[float, float], kind: FoldKind, *, short_mm: float = 0.0, across: bool = True
) -> OpenSheet:
    """The open sheet of a card that is ``folded_mm`` once folded: [width, height] as its front lies on the sheet.

    ``short_mm``: how much the front of a side or top fold is shorter than the back. ``across`` tells for gate,
    accordion and roll whether the panels lie side by side (vertical creases) or one above the other. Raises
    BadRecord where nothing is left of the front, or for ``other``.
    """
    w, h = folded_mm
    if short_mm < 0 or short_mm >= (h if kind == "top" else w):
        raise BadRecord("fold.front-too-short", short_mm=short_mm, card_mm=(w, h))
    if kind == "flat":
        return OpenSheet(folded_mm, ())
    if kind == "side":
        return OpenSheet((2 * w - short_mm, h), (Crease(direction="vertical", at_mm=w),))
    if kind == "top":
        return OpenSheet((w, 2 * h - short_mm), (Crease(direction="horizontal", at_mm=h),))
    if kind == "quarter":
        cross = Crease(direction="vertical", at_mm=w), Crease(direction="horizontal", at_mm=h)
        return OpenSheet((2 * w, 2 * h), cross)
    if kind == "other":
        raise BadRecord("fold.no-one-sheet")
    length = w if across else h
    first, second = _two_creases(length, kind)
    total = second + (length / 2 if kind == "gate" else length)
    direction: Literal["vertical", "horizontal"] = "vertical" if across else "horizontal"
    creases = (
        Crease(direction=direction, at_mm=first, folds="out" if kind == "accordion" else "in"),
        Crease(direction=direction, at_mm=second),
    )
    return OpenSheet((total, h) if across else (w, total), creases)


def folded_size(size_mm: tuple[float, float], creases: Sequence[Crease]) -> tuple[float, float]:
    """The folded card, [width, height] as fed: the widest part between creases each way.

    An off-centre crease leaves the larger part standing out, and that is what an envelope must take.
    """
    columns, rows = grid_of(size_mm, creases)
    return max(length for _, length in columns), max(length for _, length in rows)


def layers(size_mm: tuple[float, float], creases: Sequence[Crease]) -> int:
    """How many thicknesses of card lie on each other, at most, once it is folded; a gate's wings lie side by side."""
    columns, rows = grid_of(size_mm, creases)
    return 2 if fold_of(size_mm, creases) == "gate" else len(columns) * len(rows)


def _two_creases(length: float, kind: FoldKind) -> tuple[float, float]:
    """Where the two creases lie, from the sheet's left or top edge, for panels of this length."""
    if kind == "gate":
        return length / 2, 1.5 * length
    first = length if kind == "accordion" else length - TUCK_MM
    return first, first + length


def _spans(
    length: float, creases: Sequence[Crease], direction: Literal["vertical", "horizontal"]
) -> tuple[tuple[float, float], ...]:
    cuts = {crease.at_mm for crease in creases if crease.direction == direction}
    outside = next((cut for cut in sorted(cuts) if not 0 < cut < length), None)
    if outside is not None:
        raise BadRecord(
            f"fold.{direction}-crease-outside",
            place=Place("stock", ("creases",)),
            at_mm=outside,
            length_mm=length,
        )
    return tuple((start, end - start) for start, end in pairwise([0.0, *sorted(cuts), length]))


def _refuse_wrong_way(creases: Sequence[Crease], shape: tuple[int, int]) -> None:
    """Only the first of an accordion's two creases may fold out: then the cover's fold lies at its left or top."""
    outward = sorted(crease.at_mm for crease in creases if crease.folds == "out")
    if not outward:
        return
    ordered = sorted(creases, key=lambda crease: crease.at_mm)
    if sorted(shape) == [1, 3] and [crease.folds for crease in ordered] == ["out", "in"]:
        return
    raise BadRecord("fold.folds-out", place=Place("stock", ("creases",)), at_mm=outward[0])


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
