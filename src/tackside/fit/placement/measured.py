"""The placement of one way of printing, from the readings of its trials: mean, spread, correction, what is left; and
the placements of both sides as the way of a card into the printer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import NamedTuple

from tackside.fit.fold.panels import OTHER
from tackside.fit.placement.correction import (
    IDENTITY,
    Correction,
    Matrix,
    inverse_of,
    matrix_of,
    mean_of,
    placement_of,
)
from tackside.fit.placement.residual import COMMON_SD_MM, COMMON_WITHIN_MM, Residual, residual_of
from tackside.fit.sizes.formats import SAME_MM
from tackside.messages.message import Message
from tackside.records import Placement, Record
from tackside.records.sheet_plan import Side

# A print further off than this was not made at the sheet's own size and place: nothing to correct, but to print anew.
FURTHEST_OFFSET_MM = 15.0
FURTHEST_TURN_DEG = 3.0
FURTHEST_SCALE = 0.15
# Both axes off alike by more than this: the print path scales, as no feed slips so much across and along alike.
SCALED_BY = 0.01
ALIKE_WITHIN = 0.004
# A border or a distance from the crease must be this many residuals wide (the project's own rule).
SAFE_RESIDUALS = 2.0


class Way(Record):
    """One way of printing whose placement is one thing: the same machine, path, card, face and direction.

    ``size_mm`` is the open sheet as fed, so it tells upright from turned.
    """

    printer: str
    feed: str
    stock: str
    side: Side
    size_mm: tuple[float, float]
    borderless: bool

    def is_like(self, other: Way) -> bool:
        """Whether both are the same way, sizes within half a millimetre."""
        apart = max(abs(one - its) for one, its in zip(self.size_mm, other.size_mm, strict=True))
        return apart <= SAME_MM and self.model_copy(update={"size_mm": other.size_mm}) == other


class Spread(NamedTuple):
    """Standard deviations over repeats."""

    offset_mm: tuple[float, float]
    scale_x: float
    scale_y: float
    rotation_deg: float


class MeasuredPlacement(Record):
    """Where prints fall on the sheet and what is left once output is corrected.

    ``trials`` are those that it is measured on, ``offset_mm`` … ``skew_deg`` their means by the conventions of
    ``Placement``, ``spread`` the standard deviations (None with one trial). ``residual_mm`` is one standard
    deviation of an edge's place at the sheet's worst corner on the next, corrected print, ``within_95_mm`` the
    distance that 95 prints in 100 keep; a border, and the distance of anything from a crease, should not be
    under ``safe_border_mm``. ``enlargement_mm`` is how far a borderless mode prints past the sheet, [at left and
    right, at top and bottom], None for other prints. ``basis`` says where the spread comes from.
    """

    trials: tuple[str, ...] = ()
    offset_mm: tuple[float, float] = (0.0, 0.0)
    scale_x: float = 1.0
    scale_y: float = 1.0
    rotation_deg: float = 0.0
    skew_deg: float = 0.0
    spread: Spread | None = None
    residual_mm: float
    within_95_mm: float
    safe_border_mm: float
    enlargement_mm: tuple[float, float] | None = None
    correction: Correction = IDENTITY
    basis: Message
    notices: tuple[Message, ...] = ()


UNMEASURED = MeasuredPlacement(
    residual_mm=COMMON_SD_MM,
    within_95_mm=COMMON_WITHIN_MM,
    safe_border_mm=SAFE_RESIDUALS * COMMON_SD_MM,
    basis=Message("placement.unmeasured", within_mm=COMMON_WITHIN_MM),
)


@dataclass(frozen=True)
class PrintPath:
    """What is known of the way into the printer, by side.

    ``placements`` are measured on trials. ``half_turned``: the sheet goes in for its second side head first
    where the first side went in foot first, so that page is turned by half a turn; ``tried``: whether anybody found
    that out, None where it was not asked.
    """

    placements: Mapping[Side, MeasuredPlacement] = field(default_factory=dict)
    half_turned: bool = False
    tried: bool | None = None

    def turned_over(self) -> PrintPath:
        """The same way for a card whose outside lies on the stock's back: its sides are the other ones."""
        swapped = {OTHER[side]: placement for side, placement in self.placements.items()}
        return replace(self, placements=swapped)

    def residual_mm(self, side: Side) -> float | None:
        """What is left at the worst corner after correction, one standard deviation; None where not measured."""
        return self.placements[side].residual_mm if side in self.placements else None

    def correction(self, side: Side, size_mm: tuple[float, float]) -> Correction:
        """From wanted places on the sheet to those that the file must have."""
        measured = self.placements[side].correction if side in self.placements else IDENTITY
        if side == "front" or not self.half_turned:
            return measured
        (a, b, c), (d, e, f) = measured.matrix
        w, h = size_mm
        return Correction(matrix=((-a, -b, a * w + b * h + c), (-d, -e, d * w + e * h + f)))


UNKNOWN_PATH = PrintPath()


def correction_from(placements: Sequence[Placement], size_mm: tuple[float, float]) -> Correction:
    """What output needs so that prints fall where they are wanted; nothing at all where no placement can tell."""
    found = measure([("", placement) for placement in placements], size_mm)
    return IDENTITY if found is None else found.correction


def measure(
    placements: Sequence[tuple[str, Placement]], size_mm: tuple[float, float], *, borderless: bool = False
) -> MeasuredPlacement | None:
    """The placement from (trial, placement) of repeats of one way of printing; None where none can be used.

    A placement without offset or turn, or off by so much that the sheet was not printed at its own size and
    place, is left out with a notice.
    """
    used, notices = _usable(placements)
    if not used:
        return None
    matrices = [matrix for _, matrix in used]
    mean = mean_of(matrices)
    scale_x, scale_y, turn, skew, offset = placement_of(mean)
    left = residual_of(matrices, size_mm)
    if not borderless and _is_scaled(scale_x, scale_y):
        notices.append(Message("placement.scaled", scale=(scale_x + scale_y) / 2))
    return MeasuredPlacement(
        trials=tuple(trial for trial, _ in used),
        offset_mm=offset,
        scale_x=scale_x,
        scale_y=scale_y,
        rotation_deg=turn,
        skew_deg=skew,
        spread=_spread(matrices),
        residual_mm=left.residual_mm,
        within_95_mm=left.within_95_mm,
        safe_border_mm=SAFE_RESIDUALS * left.residual_mm,
        enlargement_mm=_enlargement(scale_x, scale_y, size_mm) if borderless else None,
        correction=Correction(matrix=inverse_of(mean)),
        basis=_basis(left, len(used)),
        notices=tuple(notices),
    )


def _usable(placements: Sequence[tuple[str, Placement]]) -> tuple[list[tuple[str, Matrix]], list[Message]]:
    used: list[tuple[str, Matrix]] = []
    notices: list[Message] = []
    for trial, placement in placements:
        matrix = matrix_of(placement)
        if matrix is None:
            notices.append(Message("placement.no-offset", trial=trial))
        elif not _is_believable(matrix):
            notices.append(Message("placement.left-out", trial=trial))
        else:
            used.append((trial, matrix))
    return used, notices


def _is_believable(matrix: Matrix) -> bool:
    scale_x, scale_y, turn, skew, offset = placement_of(matrix)
    return (
        max(abs(offset[0]), abs(offset[1])) <= FURTHEST_OFFSET_MM
        and max(abs(turn), abs(skew)) <= FURTHEST_TURN_DEG
        and max(abs(scale_x - 1.0), abs(scale_y - 1.0)) <= FURTHEST_SCALE
    )


def _is_scaled(scale_x: float, scale_y: float) -> bool:
    return abs(scale_x - scale_y) <= ALIKE_WITHIN and abs((scale_x + scale_y) / 2 - 1.0) > SCALED_BY


def _spread(matrices: list[Matrix]) -> Spread | None:
    if len(matrices) < 2:
        return None
    found = [placement_of(matrix) for matrix in matrices]
    return Spread(
        offset_mm=(_deviation([each[4][0] for each in found]), _deviation([each[4][1] for each in found])),
        scale_x=_deviation([each[0] for each in found]),
        scale_y=_deviation([each[1] for each in found]),
        rotation_deg=_deviation([each[2] for each in found]),
    )


def _deviation(values: list[float]) -> float:
    mean = sum(values) / len(values)
    return sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))


def _enlargement(scale_x: float, scale_y: float, size_mm: tuple[float, float]) -> tuple[float, float]:
    """Half of what the print is larger than the sheet, each way."""
    return (scale_x - 1.0) * size_mm[0] / 2, (scale_y - 1.0) * size_mm[1] / 2


def _basis(left: Residual, count: int) -> Message:
    if left.measured:
        return Message("placement.measured", prints=count)
    code = "placement.one-print" if count == 1 else "placement.two-prints"
    return Message(code, within_mm=COMMON_WITHIN_MM)
