"""Maps between places on the sheet: where the print falls, and the correction that takes it back."""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, cos, degrees, hypot, radians, sin

from tackside.records import Placement, Record
from tackside.units import Box

Point = tuple[float, float]
Row = tuple[float, float, float]
Matrix = tuple[Row, Row]

_IDENTITY: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


class Correction(Record):
    """Where to ask for a thing so that it is printed where it is wanted, both in mm on the sheet.

    ``matrix`` is the 2 × 3 affine map from a wanted place to the one to ask for: x' = a x + b y + c,
    y' = d x + e y + f.
    """

    matrix: Matrix = _IDENTITY

    def apply(self, points: Iterable[Point]) -> list[Point]:
        """The places to ask for, for places wanted."""
        return [moved(self.matrix, point) for point in points]

    def inverse(self, points: Iterable[Point]) -> list[Point]:
        """Where things asked for at these places are printed."""
        printed = inverse_of(self.matrix)
        return [moved(printed, point) for point in points]

    @property
    def is_identity(self) -> bool:
        return self.matrix == _IDENTITY

    def reach(self, size_mm: Point) -> Box:
        """The largest upright box on the sheet that the file's own area, [0, 0, w, h], covers once printed.

        It may begin before 0 and end past the sheet: a borderless mode enlarges. What is wanted outside it
        can't be asked for.
        """
        left_top, right_top, left_bottom, right_bottom = self.inverse(corners_of(size_mm))
        x, y = max(left_top[0], left_bottom[0]), max(left_top[1], right_top[1])
        right, bottom = min(right_top[0], right_bottom[0]), min(left_bottom[1], right_bottom[1])
        return Box(x, y, right - x, bottom - y)


IDENTITY = Correction()


def matrix_of(placement: Placement) -> Matrix | None:
    """The map from places asked for to places printed; None where turn or offset are not known.

    The print's x axis is turned by ``rotation_deg``, its y axis by ``skew_deg`` more; each is stretched by its scale.
    """
    if placement.rotation_deg is None or placement.offset_mm is None:
        return None
    turn = radians(placement.rotation_deg)
    further = turn + radians(placement.skew_deg or 0.0)
    x, y = placement.offset_mm
    return (
        (placement.scale_x * cos(turn), -placement.scale_y * sin(further), x),
        (placement.scale_x * sin(turn), placement.scale_y * cos(further), y),
    )


def placement_of(matrix: Matrix) -> tuple[float, float, float, float, Point]:
    """``scale_x``, ``scale_y``, ``rotation_deg``, ``skew_deg`` and offset of a map, by the same conventions."""
    (a, b, x), (d, e, y) = matrix
    turn, further = degrees(atan2(d, a)), degrees(atan2(-b, e))
    return hypot(a, d), hypot(b, e), turn, further - turn, (x, y)


def mean_of(matrices: list[Matrix]) -> Matrix:
    """The map that takes each point to the mean of where the maps take it; at least one map."""
    a, b, c, d, e, f = (
        sum(values) / len(matrices)
        for values in zip(*(first + last for first, last in matrices), strict=True)
    )
    return (a, b, c), (d, e, f)


def inverse_of(matrix: Matrix) -> Matrix:
    """The map back. The map must not be singular, which no print's is."""
    (a, b, c), (d, e, f) = matrix
    area = a * e - b * d
    return (
        (e / area, -b / area, (b * f - e * c) / area),
        (-d / area, a / area, (d * c - a * f) / area),
    )


def moved(matrix: Matrix, point: Point) -> Point:
    """Where a map takes a point."""
    (a, b, c), (d, e, f) = matrix
    return a * point[0] + b * point[1] + c, d * point[0] + e * point[1] + f


def corners_of(size_mm: Point) -> tuple[Point, Point, Point, Point]:
    """Top left, top right, bottom left and bottom right of a sheet."""
    w, h = size_mm
    return (0.0, 0.0), (w, 0.0), (0.0, h), (w, h)
