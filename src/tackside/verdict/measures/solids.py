"""The weakest solid, beside what offset inks reach on uncoated paper."""

from __future__ import annotations

from statistics import median

from tackside.records.verdict import Measure
from tackside.verdict.measures.all import number, spread

# C*ab of the solids of offset printing on uncoated paper, as measured (docs/sources.md, S28).
UNCOATED_CHROMA = {"c": 50.4, "m": 59.6, "y": 79.2, "r": 63.0, "g": 46.6, "b": 33.2}
COLOUR_NAMES = {"c": "cyan", "m": "magenta", "y": "yellow", "r": "red", "g": "green", "b": "blue"}


def weakest_solid(measures: dict[str, Measure]) -> dict[str, Measure]:
    """``weakest_solid``: the least share of UNCOATED_CHROMA among the solids; ``method`` names its colour.

    ``solid_balance``: that share over the median one, where there are three at least. One missing ink makes it
    small, dull colour throughout does not.
    """
    shares = {
        name: (value / usual, spread(measures, f"chroma_{name}") / usual)
        for name, usual in UNCOATED_CHROMA.items()
        if (value := number(measures, f"chroma_{name}")) is not None
    }
    if not shares:
        return {}
    weakest = min(shares, key=lambda name: shares[name][0])
    share, sd = shares[weakest]
    found = {"weakest_solid": Measure(value=share, unit="share", sd=sd, method=COLOUR_NAMES[weakest])}
    middle = median(value for value, _ in shares.values())
    if len(shares) < 3 or middle <= 0:
        return found
    # The median of several solids is steadier than the weakest one: its own uncertainty is left out.
    balance = Measure(value=share / middle, unit="share", sd=sd / middle, method=COLOUR_NAMES[weakest])
    return {**found, "solid_balance": balance}
