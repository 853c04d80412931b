"""The colour cube: an even grid of red, green and blue as large as fits; near-greys fill up its last row."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tackside.sheet.colours import Colour, byte


def cube(steps: int) -> list[Colour]:
    """``steps``³ colours, ``cube-000`` on: red counts slowest, blue fastest."""
    levels = [byte(step, steps - 1) for step in range(steps)]
    triples = ((red, green, blue) for red in levels for green in levels for blue in levels)
    return [Colour(f"cube-{number:03d}", numbers, ("cube",)) for number, numbers in enumerate(triples)]


def by_hue(colours: Sequence[Colour], columns: int) -> list[Colour]:
    """The colours row by row, so that hue runs along the rows and light falls down the columns.

    Their number must fill the rows. Hue is the angle of the opponent axes red − green and yellow − blue:
    good enough to please the eye, and nothing is measured by it. The greyest tenth stand in the last columns.
    """
    rows = len(colours) // columns
    if rows == 0:
        return list(colours)
    grey_columns = max(round(columns / 10), 1)
    by_chroma = sorted(colours, key=lambda colour: (_opponent(colour)[0], colour.name))
    greyish, coloured = by_chroma[: grey_columns * rows], by_chroma[grey_columns * rows :]
    ordered = sorted(coloured, key=lambda colour: (_opponent(colour)[1], colour.name)) + greyish
    standing = [ordered[column * rows : (column + 1) * rows] for column in range(columns)]
    standing = [sorted(column, key=lambda colour: (-_light(colour), colour.name)) for column in standing]
    return [standing[column][row] for row in range(rows) for column in range(columns)]


def _opponent(colour: Colour) -> tuple[float, float]:
    """Distance from grey and hue in radians from 0, red first."""
    red, green, blue = colour.numbers
    across, up = red - (green + blue) / 2, (green - blue) * math.sqrt(3) / 2
    return math.hypot(across, up), math.atan2(up, across) % (2 * math.pi)


def _light(colour: Colour) -> float:
    red, green, blue = colour.numbers
    return (
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    )  # ITU-R BT.709, on encoded numbers: an order, no measure


def near_greys(count: int) -> list[Colour]:
    """``count`` colours a little off grey: they show a cast that greys alone would hide; ``near-01`` on."""
    offsets = ((10, 0, -10), (-10, 0, 10), (0, 10, 0), (0, -10, 0), (10, -5, -5), (-5, 10, -5), (-5, -5, 10))
    greys = (128, 192, 64, 224, 96, 160, 32, 208, 48)
    found: list[Colour] = []
    for grey in greys:
        for red, green, blue in offsets:
            if len(found) == count:
                return found
            numbers = (grey + red, grey + green, grey + blue)
            found.append(Colour(f"near-{len(found) + 1:02d}", numbers, ("near-grey",)))
    return found
