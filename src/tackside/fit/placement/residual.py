"""How far from its place a print still falls once the mean has been taken out.

Each repeat moves a corner of the sheet a little differently. From n repeats with the standard deviation s about their
mean, the next print falls within ± t s √(1 + 1/n) of it in 95 cases of 100, t being Student's with n − 1 degrees of
freedom (the prediction interval of a normal variable; any textbook of statistics).
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

from tackside.fit.placement.correction import Matrix, corners_of, moved

# Position repeats to within ±1 to 1.5 mm (one weak source; docs/sources.md, S17): the wider one, taken as what
# 95 prints in 100 keep.
COMMON_WITHIN_MM = 1.5
NORMAL_95 = 1.959963984540054
COMMON_SD_MM = COMMON_WITHIN_MM / NORMAL_95
# Two prints may agree by luck: with fewer than this the common spread holds wherever it is the larger one.
FEWEST_REPEATS = 3


class Residual(NamedTuple):
    """What is left: ``residual_mm`` is one standard deviation of an edge's place at the worst corner on the next
    print, ``within_95_mm`` the distance that 95 prints in 100 keep; ``measured`` by the repeats, or the common ones.
    """

    residual_mm: float
    within_95_mm: float
    measured: bool


def residual_of(matrices: list[Matrix], size_mm: tuple[float, float]) -> Residual:
    """What to expect of the next print after correction by the mean of these; at least one map."""
    count = len(matrices)
    wider = sqrt(1.0 + 1.0 / count)
    spread = worst_spread(matrices, size_mm) if count > 1 else 0.0
    if count < FEWEST_REPEATS and spread <= COMMON_SD_MM:
        return Residual(COMMON_SD_MM * wider, COMMON_WITHIN_MM * wider, measured=False)
    return Residual(spread * wider, student_95(count - 1) * spread * wider, measured=True)


def worst_spread(matrices: list[Matrix], size_mm: tuple[float, float]) -> float:
    """The largest standard deviation, in mm, of any corner's x or y over at least two prints."""
    places = [[moved(matrix, corner) for corner in corners_of(size_mm)] for matrix in matrices]
    return max(
        _deviation([print_[corner][axis] for print_ in places]) for corner in range(4) for axis in (0, 1)
    )


def student_95(freedom: int) -> float:
    """The 97.5 % quantile of Student's t."""
    from scipy.special import stdtrit  # kept off the start-up path

    return float(stdtrit(freedom, 0.975))


def _deviation(values: list[float]) -> float:
    mean = sum(values) / len(values)
    return sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))
