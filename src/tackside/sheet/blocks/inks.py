"""Solids and ramps of the inks and their overprints, asked for in RGB: C is (0, 1, 1), R is (1, 0, 0)."""

from __future__ import annotations

from tackside.sheet.colours import Colour, byte

# Which of red, green and blue each colour takes away. Order: a colour, then its complement.
TAKES_AWAY: dict[str, tuple[int, int, int]] = {
    "C": (1, 0, 0),
    "R": (0, 1, 1),
    "M": (0, 1, 0),
    "G": (1, 0, 1),
    "Y": (0, 0, 1),
    "B": (1, 1, 0),
}
IN_PAIRS = ("C", "R", "M", "G", "Y", "B")
IN_TRIPLES = ("C", "M", "Y", "R", "G", "B")


def ramp(letter: str, steps: int) -> list[Colour]:
    """From the lightest tint to the solid in even steps, ``C13`` … ``C100`` by the share of the solid."""
    colours = []
    for step in range(1, steps + 1):
        red, green, blue = (byte(steps - step * taken, steps) for taken in TAKES_AWAY[letter])
        roles: tuple[str, ...] = (f"ramp-{letter.lower()}",)
        if step == steps:
            roles = (f"solid-{letter.lower()}", *roles)
        colours.append(
            Colour(f"{letter}{(200 * step + steps) // (2 * steps):02d}", (red, green, blue), roles)
        )
    return colours
