"""How many pages a chart takes, and how its panels are cut into rows: the fewest pages, then the largest patches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tackside.units import Size

LEAST_MM, MOST_MM = 5.0, 12.0  # a side; docs/sources.md, S112
SCANNED_MM = 6.0  # what a scanner reads with ease
BY_HAND_MM = 8.0  # what most hand-held instruments want; theirs to say
GAP_MM = 0.8  # bare card between patches
_STEP_MM = 0.05


@dataclass(frozen=True)
class ChartCut:
    """``rows``: for each page, for each panel in it, how many patches stand in each row. ``patch_mm``: a side."""

    patch_mm: float
    rows: tuple[tuple[tuple[int, ...], ...], ...]

    @property
    def pages(self) -> int:
        return len(self.rows)

    @property
    def patches_on(self) -> tuple[int, ...]:
        """How many patches stand on each page."""
        return tuple(sum(map(sum, panels)) for panels in self.rows)


def columns_of(width_mm: float, patch_mm: float) -> int:
    """How many patches fit beside each other."""
    return int((width_mm + GAP_MM) / (patch_mm + GAP_MM) + 1e-9)


def holds(panels: Sequence[Size], patch_mm: float) -> int:
    """How many patches of that side a page holds."""
    return sum(columns_of(room.w, patch_mm) * columns_of(room.h, patch_mm) for room in panels)


def cut(panels: Sequence[Size], counts: Sequence[int], least_mm: float) -> ChartCut | None:
    """``counts`` patches on as many pages with ``panels`` of that room; None where they would be below ``least_mm``."""
    side = MOST_MM
    while side > least_mm - 1e-9:
        if holds(panels, side) >= max(counts):
            return ChartCut(side, tuple(_rows(panels, count, side) for count in counts))
        side = round(side - _STEP_MM, 4)
    return None


def _rows(panels: Sequence[Size], count: int, side: float) -> tuple[tuple[int, ...], ...]:
    """Panel by panel, row by row; the last row may be short."""
    found, left = [], count
    for room in panels:
        columns, most = columns_of(room.w, side), columns_of(room.h, side)
        here = min(left, columns * most)
        full, rest = divmod(here, columns) if columns else (0, 0)
        found.append((columns,) * full + ((rest,) if rest else ()))
        left -= here
    return tuple(found)


def shared(count: int, pages: int) -> tuple[int, ...]:
    """``count`` as evenly as it goes over ``pages``."""
    return tuple(
        math.ceil(count * (page + 1) / pages) - math.ceil(count * page / pages) for page in range(pages)
    )


def row_name(number: int) -> str:
    """A to Z, then AA, AB, …: rows count on from page to page, so that no patch shares its name."""
    name = ""
    number += 1
    while number:
        number, letter = divmod(number - 1, 26)
        name = chr(ord("A") + letter) + name
    return name
