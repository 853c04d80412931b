"""A grade as a step on a wedge of four: the reached step stands out and carries a pointer."""

from __future__ import annotations

from tackside.records import GRADES, Grade
from tackside.report.plots.svg import drawing, element

STEP, HEIGHT, GAP = 18, 12, 2


def wedge(grade: Grade) -> str:
    """Four steps from ``reject`` at the left to ``sell`` at the right, as print control strips have them."""
    steps = GRADES[::-1]
    reached = steps.index(grade)
    parts = []
    for place in range(len(steps)):
        x = 1 + place * (STEP + GAP)
        filled = "step on" if place <= reached else "step"
        parts.append(element("rect", x=x, y=1, width=STEP, height=HEIGHT, class_=filled))
    middle = 1 + reached * (STEP + GAP) + STEP / 2
    points = f"{middle - 4},{HEIGHT + 9} {middle + 4},{HEIGHT + 9} {middle},{HEIGHT + 3}"
    parts.append(element("polygon", points=points, class_="pointer"))
    width = len(steps) * (STEP + GAP)
    return drawing(
        width, HEIGHT + 10, f"Grade {grade}", f"step {reached + 1} of {len(steps)}", "".join(parts), "wedge"
    )
