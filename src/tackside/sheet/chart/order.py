"""In what order the colours stand: shuffled, so that drying and banding do not pass for colour, and some repeated.

A repeat is the same colour once in each stretch of the sheet: in each page, or in both halves of a single one. What its
copies differ by is the print's own doing, and the scanner's or instrument's.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tackside.sheet.colours import Colour

REPEATED, LEAST_REPEATED = 12, 8  # colours; eight are enough to tell a print's noise, docs/sources.md, S109
# Neighbours in a row differ by so much in some channel where they can, 0 to 255: an instrument that is drawn along a
# row tells patches by that, and a row that was read amiss is noticed.
APART = 45
TRIES = 40


@dataclass(frozen=True)
class Repeats:
    """How many colours are repeated, and how often each stands on the sheet."""

    colours: int
    copies: int

    @property
    def extra(self) -> int:
        """Patches beyond the first of each colour."""
        return self.colours * (self.copies - 1)


def repeats_for(pages: int) -> Repeats:
    """Once on every page, and twice on a single one; fewer colours where there are many pages."""
    copies = max(pages, 2)
    return Repeats(max(2 * REPEATED // copies, LEAST_REPEATED), copies)


def to_repeat(colours: Sequence[Colour], count: int) -> list[int]:
    """Which colours are repeated: paper, black, full colours, greys from light to dark, then well-known colours."""
    greys = [number for number, each in enumerate(colours) if each.roles[:1] == ("grey",)]
    some = [greys[len(greys) * part // 4] for part in (1, 2, 3)]
    known = [
        next(number for number, each in enumerate(colours) if role in each.roles) for role in ("skin", "sky")
    ]
    wanted = dict.fromkeys((0, 1, *some, *known, 2, 4, 6, 3, 5, 7, *range(8, len(colours))))
    return list(wanted)[:count]


def arranged(
    colours: Sequence[Colour], repeats: Repeats, rows: Sequence[int], stretches: Sequence[int], seed: str
) -> list[Colour]:
    """All patches in reading order. ``rows``: how many stand in each row. ``stretches``: how many stand in each
    stretch that gets one copy of every repeat; there are as many as copies. The same ``seed``, the same order.
    """
    chance = random.Random(seed)
    chosen = to_repeat(colours, repeats.colours)
    copies = [replace(colours[number], roles=(*colours[number].roles, "repeat")) for number in chosen]
    held = set(chosen)
    once = [each for number, each in enumerate(colours) if number not in held]
    chance.shuffle(once)
    ordered: list[Colour] = []
    for length in stretches:
        part = [*copies, *(once.pop() for _ in range(length - len(copies)))]
        chance.shuffle(part)
        ordered += part
    _set_apart(ordered, rows, stretches, chance)
    return ordered


def _set_apart(
    ordered: list[Colour], rows: Sequence[int], stretches: Sequence[int], chance: random.Random
) -> None:
    """Swap patches within a stretch until neighbours in a row differ, as far as that goes."""
    row_of = [number for number, length in enumerate(rows) for _ in range(length)]
    start = 0
    for length in stretches:
        for at in range(start, start + length):
            for _ in range(TRIES):
                if _clear(ordered, row_of, at):
                    break
                other = chance.randrange(start, start + length)
                before = _clear(ordered, row_of, other)
                ordered[at], ordered[other] = ordered[other], ordered[at]
                if not (_clear(ordered, row_of, at) and (_clear(ordered, row_of, other) or not before)):
                    ordered[at], ordered[other] = ordered[other], ordered[at]
        start += length


def _clear(ordered: Sequence[Colour], row_of: Sequence[int], at: int) -> bool:
    """Whether a patch differs from both its neighbours in the row."""
    beside = (near for near in (at - 1, at + 1) if 0 <= near < len(ordered) and row_of[near] == row_of[at])
    return all(_apart(ordered[at], ordered[near]) >= APART for near in beside)


def _apart(one: Colour, other: Colour) -> int:
    return max(abs(a - b) for a, b in zip(one.numbers, other.numbers, strict=True))
