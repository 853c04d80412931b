"""The colours of the sheet for a profile, beside an even grid and random ones of the same number.

The printers are the two invented ones held out from all tuning, and offset prints: ``FOGRA39L`` and ``TR003``
(docs/sources.md, S28), interpolated by SciPy, behind an invented way from RGB to four inks.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from scipy.interpolate import RBFInterpolator

from tackside.colour.difference import delta_e_2000
from tackside.profile.build.evidence import weigh
from tackside.profile.build.measured import MeasuredPatches
from tackside.sheet.chart.choice import chosen
from tests.extent import share
from tests.profile.build.built import NOISE
from tests.profile.build.presses import PRESSES, grid
from tests.profile.printer_tables import open_data

Printer = Callable[[np.ndarray], np.ndarray]


def separated(rgb: np.ndarray) -> np.ndarray:
    """CMYK (n, 4) of RGB (n, 3): black where all three inks pass 0.4, taking their place by six tenths."""
    ink = 1 - np.asarray(rgb, dtype=float)
    black = np.clip((ink.min(axis=1) - 0.4) / 0.6, 0, 1) ** 1.5
    return np.column_stack([np.clip(ink - 0.6 * black[:, None], 0, 1), black])


@cache
def printer(name: str) -> Printer:
    if name in PRESSES:
        return PRESSES[name]
    spline = RBFInterpolator(*open_data(name), kernel="thin_plate_spline", neighbors=150, smoothing=1e-3)
    return lambda rgb: spline(separated(rgb))


@cache
def asked_of(name: str) -> tuple[tuple[np.ndarray, np.ndarray], ...]:
    """5,000 random colours and 256 greys, each with what the printer makes of them, which takes long to work out."""
    greys = np.linspace(0, 1, 256)[:, None].repeat(3, axis=1)
    return tuple((rgb, printer(name)(rgb)) for rgb in (np.random.default_rng(11).random((5000, 3)), greys))


def off(name: str, device: np.ndarray) -> np.ndarray:
    """ΔE00 at 5,000 random colours, median and 95 %, then at 256 greys."""
    lab = printer(name)(device)
    lab = lab + NOISE * np.random.default_rng(1).standard_normal(lab.shape)
    surface = weigh(MeasuredPatches.of(device, lab)).surface
    apart = [delta_e_2000(surface.at(rgb), truth) for rgb, truth in asked_of(name)]
    return np.array([np.quantile(each, share) for each in apart for share in (0.5, 0.95)])


PRINTERS = ("FOGRA39L", "TR003", *PRESSES)
BY_TURNS = share([(name, side) for name in PRINTERS for side in (6, 8)], 4)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "side"), BY_TURNS)
def test_they_do_no_worse_than_an_even_grid_and_better_in_greys(name: str, side: int) -> None:
    ours = off(name, np.array([colour.rgb for colour in chosen(side**3)]))
    even = off(name, grid(side))
    # A median of 5,000 differences moves by some hundredths with the draw of the noise.
    assert ours[0] <= even[0] * 1.05
    assert ours[1] <= even[1]
    assert np.all(ours[2:] <= even[2:])
    random = np.random.default_rng(5).random((side**3, 3))
    random[:8] = grid(2)
    assert ours[3] < off(name, random)[3]
