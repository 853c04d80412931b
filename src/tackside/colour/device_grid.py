"""The largest regular grid inside scattered device values: the cube among ramps, greys and repeats."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import Floats

SAME_LEVEL_DECIMALS = 4  # finer than the 8-bit step, coarser than the rounding of a text file


class DeviceGrid(NamedTuple):
    """Every combination of the levels on three device axes, with its colour.

    ``levels``: three rising arrays that begin with 0 and end with 1; ``lab``: shape (a, b, c, 3).
    """

    levels: tuple[Floats, Floats, Floats]
    lab: Floats


def largest_grid(device: ArrayLike, lab: ArrayLike, *, fewest_levels: int = 3) -> DeviceGrid | None:
    """The grid inside device values (n, 3), 0 to 1, with colours (n, 3); None where there is none.

    The level whose slice lacks the largest share of its combinations is dropped, again and again, until all
    combinations are there; 0 and 1 always stay, so the grid spans the whole solid. Repeats are averaged. The
    search is greedy: it finds a cube that was printed, it does not promise the largest among odd leftovers.
    """
    values: Floats = np.asarray(device, dtype=np.float64).round(SAME_LEVEL_DECIMALS)
    if values.ndim != 2 or values.shape[1] != 3 or len(values) == 0:
        return None
    places, colours = _average_repeats(values, np.asarray(lab, dtype=np.float64))
    found = [np.unique(places[:, axis], return_inverse=True) for axis in range(3)]
    levels = [each[0] for each in found]
    if any(each[0] != 0 or each[-1] != 1 for each in levels):
        return None
    index = np.stack([each[1].reshape(-1) for each in found], axis=1)
    kept = _complete_levels(index, [len(each) for each in levels])
    if any(mask.sum() < fewest_levels for mask in kept):
        return None
    inside = np.all([kept[axis][index[:, axis]] for axis in range(3)], axis=0)
    shape = tuple(int(mask.sum()) for mask in kept)
    # np.unique sorts rows by red, then green, then blue: the order of a C-shaped array.
    first, second, third = (levels[axis][kept[axis]] for axis in range(3))
    return DeviceGrid((first, second, third), colours[inside].reshape(*shape, 3))


def _average_repeats(device: Floats, lab: Floats) -> tuple[Floats, Floats]:
    """Unique rows of ``device``, sorted, and the mean colour of each."""
    unique, member = np.unique(device, axis=0, return_inverse=True)
    member = member.reshape(-1)
    counts = np.bincount(member, minlength=len(unique))
    sums = np.stack([np.bincount(member, lab[:, axis], len(unique)) for axis in range(3)], axis=1)
    return unique, sums / counts[:, None]


def _complete_levels(index: NDArray[np.intp], sizes: list[int]) -> list[NDArray[np.bool_]]:
    """Which levels of each axis stay, so that every combination of them occurs in ``index`` (n, 3)."""
    kept = [np.ones(size, dtype=bool) for size in sizes]
    points = index
    while True:
        counts = [int(mask.sum()) for mask in kept]
        if len(points) == counts[0] * counts[1] * counts[2]:
            return kept
        worst_share, worst = 1.0, (-1, -1)
        for axis in range(3):
            others = counts[(axis + 1) % 3] * counts[(axis + 2) % 3]
            shares = np.bincount(points[:, axis], minlength=sizes[axis]) / others
            shares[~kept[axis]] = np.inf
            shares[[0, -1]] = np.inf
            level = int(np.argmin(shares))
            if shares[level] < worst_share:
                worst_share, worst = float(shares[level]), (axis, level)
        if worst[0] < 0:  # only the ends are left and even their corners are not all there
            return [np.zeros(size, dtype=bool) for size in sizes]
        axis, level = worst
        kept[axis][level] = False
        points = points[points[:, axis] != level]
