"""A colour of the sheet before it has a place: its name, its 8-bit numbers and what it serves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

Numbers = tuple[int, int, int]


@dataclass(frozen=True)
class Colour:
    """``numbers`` are the bytes in the file, 0 to 255."""

    name: str
    numbers: Numbers
    roles: tuple[str, ...]

    @property
    def rgb(self) -> tuple[float, float, float]:
        red, green, blue = self.numbers
        return red / 255, green / 255, blue / 255


def byte(part: int, whole: int) -> int:
    """``part`` of ``whole`` as the nearest byte, halves upwards; whole numbers let no rounding stray."""
    return (2 * 255 * part + whole) // (2 * whole)


def merged(*groups: Iterable[Colour]) -> list[list[Colour]]:
    """The groups with each colour kept only where it comes first, holding the roles that it has anywhere."""
    lists = [list(group) for group in groups]
    roles: dict[Numbers, tuple[str, ...]] = {}
    for colour in (colour for group in lists for colour in group):
        held = roles.get(colour.numbers, ())
        roles[colour.numbers] = held + tuple(role for role in colour.roles if role not in held)
    seen: set[Numbers] = set()
    kept: list[list[Colour]] = []
    for group in lists:
        first = []
        for colour in group:
            if colour.numbers not in seen:
                seen.add(colour.numbers)
                first.append(replace(colour, roles=roles[colour.numbers]))
        kept.append(first)
    return kept
