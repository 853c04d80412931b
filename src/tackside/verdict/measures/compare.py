"""One reading beside a reference: shares of its range, chroma and volume, like with like."""

from __future__ import annotations

import numpy as np

from tackside.colour.gamut import HULL_METHOD
from tackside.records.verdict import Measure
from tackside.verdict.measures.all import number, spread
from tackside.verdict.measures.solids import UNCOATED_CHROMA

# Where both have it: the device solid by one method, else the hull, else the eight corners.
_VOLUMES = ("gamut_volume", "gamut_hull", "gamut_corners")

# In the measure's own unit (L*, C*ab, cubic ΔE*ab): far below what any reading can tell from none.
_NOTHING = 0.1


def shares(measures: dict[str, Measure], reference: dict[str, Measure]) -> dict[str, Measure]:
    """``share_l_range``, ``share_chroma`` and ``share_gamut_volume`` of the reference, 1 for as much.

    Both readings must be comparable. A share that would set unlike methods beside each other is left out.
    """
    found = {
        "share_l_range": _share(measures, reference, "l_range"),
        "share_chroma": _chroma(measures, reference),
    }
    for name in _VOLUMES:
        mine = _by_method(measures, name)
        theirs = [kin for other in _VOLUMES if (kin := _by_method(reference, other))]
        match = next((kin for kin in theirs if mine and kin.method == mine.method), None)
        if mine and match:
            found["share_gamut_volume"] = _ratio(mine, match, mine.method)
            break
    return {name: share for name, share in found.items() if share is not None}


def _by_method(measures: dict[str, Measure], name: str) -> Measure | None:
    found = measures.get(name)
    if (
        found is None and name == "gamut_hull"
    ):  # where the hull is the best there is, it stands under gamut_volume
        best = measures.get("gamut_volume")
        return best if best is not None and best.method == HULL_METHOD else None
    return found


def _share(measures: dict[str, Measure], reference: dict[str, Measure], name: str) -> Measure | None:
    mine, theirs = measures.get(name), reference.get(name)
    return _ratio(mine, theirs, mine.method) if mine and theirs else None


def _chroma(measures: dict[str, Measure], reference: dict[str, Measure]) -> Measure | None:
    """The mean chroma of the solids that both have."""
    names = [
        f"chroma_{name}"
        for name in UNCOATED_CHROMA
        if f"chroma_{name}" in measures and f"chroma_{name}" in reference
    ]
    if not names:
        return None
    sides = []
    for side in (measures, reference):
        values = [number(side, name) or 0.0 for name in names]
        sds = [spread(side, name) for name in names]
        # The shared deviation moves all solids alike, so their sds are averaged, not thinned out.
        sides.append(Measure(value=float(np.mean(values)), unit="C*ab", sd=float(np.mean(sds))))
    letters = ", ".join(name[-1].upper() for name in names)
    return _ratio(sides[0], sides[1], f"mean of the solids {letters}")


def _ratio(mine: Measure, theirs: Measure, method: str | None) -> Measure | None:
    """a / b; relative variances add (GUM 5.1.6), as if the two readings deviated independently.

    A reference that holds less than a tenth of a unit has nothing to take a share of.
    """
    if isinstance(mine.value, tuple) or isinstance(theirs.value, tuple):
        return None
    if theirs.value < _NOTHING or mine.value <= 0:
        return None
    share = mine.value / theirs.value
    # The sum of relative variances, times the share: written so that a small figure of mine divides nothing.
    sd = np.hypot((mine.sd or 0.0) / theirs.value, share * (theirs.sd or 0.0) / theirs.value)
    return Measure(value=share, unit="share", sd=float(sd), method=method)
