"""A stock model fitted to measured characterisation data: overprints, tone increase and light spread.

With tones a, R^(1/n) = Σ w_i(a) R_i^(1/n) is linear in the roots of the 16 overprints' light (Yule and Nielsen's
form of Neugebauer's sum, see ``halftone``), so that they follow by least squares for each n and tone increase;
those two are searched over a grid.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.press.printer.halftone import Floats, demichel, effective_tone, yule_nielsen_neugebauer
from tackside.press.printer.stock_model import StockModel

_LIGHT_SPREADS = (1.4, 1.7, 2.0, 2.4, 2.8)
_TONE_INCREASES = (0.0, 0.03, 0.06, 0.09, 0.12, 0.15, 0.18, 0.21, 0.24)
_LEAST_LIGHT = 1e-5


def fit_stock_model(cmyk: ArrayLike, lab: ArrayLike, name: str, **traits: Any) -> tuple[StockModel, Floats]:
    """The model nearest to ``lab`` (n, 3) CIELAB D50 of tones ``cmyk`` (n, 4), 0 to 1, and its ΔE00 (n,).

    ``traits`` are fields that colour says nothing of, such as ``spread_um`` and ``takes_ink``.
    """
    tones, measured = np.asarray(cmyk, dtype=np.float64), np.asarray(lab, dtype=np.float64)
    light = np.maximum(lab_to_xyz(measured), _LEAST_LIGHT)
    best: tuple[float, float, float, Floats, Floats] | None = None
    for n in _LIGHT_SPREADS:
        for increase in _TONE_INCREASES:
            shares = demichel(effective_tone(tones, increase))
            roots = np.linalg.lstsq(shares, light ** (1 / n), rcond=None)[0]
            overprints = np.maximum(roots, _LEAST_LIGHT ** (1 / n)) ** n
            shown = yule_nielsen_neugebauer(effective_tone(tones, increase), overprints, n)
            off = delta_e_2000(xyz_to_lab(shown), measured)
            if best is None or off.mean() < best[0]:
                best = (float(off.mean()), n, increase, xyz_to_lab(overprints), off)
    assert best is not None  # the grids are not empty
    _, n, increase, fitted, off = best
    primaries = tuple((float(L), float(a), float(b)) for L, a, b in fitted)
    model = StockModel(
        name,
        primaries[0],
        black_l=float(fitted[:, 0].min()),
        n=n,
        tone_increase=increase,
        primaries=primaries,
        **traits,
    )
    return model, off
