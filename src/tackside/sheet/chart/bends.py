"""Where an earlier reading bends most, and how close patches should stand there."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tackside.colour.spaces import Floats

NODES = 17
# A surface drawn through points a distance h apart strays by its bend times h²; in three dimensions the sum of squares
# over all colours is least where h goes with the bend to this power (calculus of variations).
POWER = -2 / 7
CLOSEST, WIDEST = 0.65, 1.4  # a reading's own noise bends too: it must not decide alone


def even(rgb: Floats) -> Floats:
    """The same spacing everywhere: nothing is known of the printer."""
    return np.ones(len(rgb))


def spacing_of(to_lab: Callable[[Floats], Floats]) -> Callable[[Floats], Floats]:
    """The relative spacing that device colours (n, 3), 0 to 1, ask for, by the colours that they come out as."""
    from scipy.interpolate import RegularGridInterpolator  # slow to import: kept off the start-up path
    from scipy.ndimage import uniform_filter

    axis = np.linspace(0, 1, NODES)
    device = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1)
    lab = to_lab(device.reshape(-1, 3)).reshape(*device.shape)
    squares = np.zeros(device.shape[:3])
    for number in range(3):
        ahead = np.moveaxis(lab, number, 0)
        second = np.zeros_like(ahead)
        second[1:-1] = ahead[2:] - 2 * ahead[1:-1] + ahead[:-2]
        second[0], second[-1] = second[1], second[-2]
        squares += np.moveaxis((second**2).sum(axis=-1), 0, number)
    bend = uniform_filter(np.sqrt(squares), size=3, mode="nearest")
    usual = max(float(np.median(bend)), 1e-6)
    spacing = np.clip(((bend + usual) / (2 * usual)) ** POWER, CLOSEST, WIDEST)
    at = RegularGridInterpolator((axis, axis, axis), spacing)
    return lambda rgb: np.asarray(at(np.clip(rgb, 0, 1)))
