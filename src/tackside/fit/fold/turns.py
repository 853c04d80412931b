"""Which way up contents stand on the open sheet, found by folding the card and seeing how each panel is held."""

from __future__ import annotations

from typing import Literal

from tackside.fit.fold.folds import FoldKind
from tackside.fit.model import Fold, TurnDeg
from tackside.records.stock import Direction

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
