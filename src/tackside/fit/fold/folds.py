"""Ways to fold a card: which one a sheet's creases make, and the open sheet that a folded card comes from.

A crease folds ``in`` where the inside faces meet, which is the rule, or ``out``, as every other one of an accordion.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

from tackside.errors import BadRecord
from tackside.fit.model import FoldName
from tackside.fit.sizes.formats import SAME_MM
from tackside.messages.place import Place
from tackside.records import Crease

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
