"""The grey ramp: 21 even steps from white to black, and finer ones where prints lose them first."""

from __future__ import annotations

from tackside.sheet.colours import Colour, byte

EVEN_PERCENT = tuple(range(0, 101, 5))
# Finer steps, the most telling first: a print loses its shadows, then its lightest tints.
FINE_PERCENT = (
    98, 2, 97, 3, 99, 1, 96, 4, 93, 7, 92, 6, 94, 8, 88, 12, 86, 9, 91, 14, 83, 17, 87, 13, 89, 11, 84, 16,
)  # fmt: skip
LEAST_COUNT = 27
MOST_COUNT = len(EVEN_PERCENT) + len(FINE_PERCENT)


def greys(count: int) -> list[Colour]:
    """``count`` greys (27 to 49) from white to black, named by the share of black: ``K00`` … ``K100``."""
    if not LEAST_COUNT <= count <= MOST_COUNT:
        raise ValueError(f"count: {LEAST_COUNT} to {MOST_COUNT} greys, not {count}")
    percents = sorted(EVEN_PERCENT + FINE_PERCENT[: count - len(EVEN_PERCENT)])
    return [_grey(percent) for percent in percents]


def _grey(percent: int) -> Colour:
    value = byte(100 - percent, 100)
    roles = ["grey", "ramp-k"]
    if percent == 0:
        roles.insert(0, "white")
    if percent == 100:
        roles[:0] = ["black", "solid-k"]
    if percent >= 85:
        roles.append("shadow")
    if percent <= 15:
        roles.append("highlight")
    return Colour(f"K{percent:02d}", (value, value, value), tuple(roles))
