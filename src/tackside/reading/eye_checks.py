"""Answers that contradict each other: each pair with a sentence that says why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

# A ruler that is off by more than this was misread: no path scales so (a small card fitted into margins loses 7 %).
MOST_SCALE = 0.15


@dataclass(frozen=True)
class Contradiction:
    """Two answers that cannot both be right."""

    sentence: str


def contradictions(given: Mapping[str, object]) -> list[Contradiction]:
    """What does not go together among the answers given (field → answer, unanswered ones left out)."""
    found = []
    if given.get("black_beside_good") == "much-less" and given.get("colour_beside_good") == "more":
        found.append("the black is much weaker than the good print's, and the colours are richer")
    if given.get("beside_screen") == "more" and given.get("colour_beside_good") == "much-less":
        found.append("the colours are stronger than the screen's, and much duller than the good print's")
    if (
        given.get("drag_this_side") == "no"
        and _small(given, "smallest_type_pt")
        and given.get("creep") == "no"
        and given.get("black_beside_good") == "same"
    ):
        found.append("the printed side does not drag, as bare card, yet it prints like the good print")
    if given.get("creep") == "much" and _small(given, "smallest_reversed_type_pt"):
        found.append("ink creeps much, and the smallest white type in black still reads")
    if given.get("greys_tint") == "none" and given.get("tint_strength") == "strong":
        found.append("the greys have no tint, and the tint is strong")
    for field in ("ruler_across_mm", "ruler_along_mm"):
        ruler = given.get(field)
        if isinstance(ruler, (tuple, list)) and abs(float(ruler[1]) / float(ruler[0]) - 1.0) > MOST_SCALE:
            found.append(
                f"the ruler's {ruler[0]:g} mm measure {ruler[1]:g} mm, more off than any path scales"
            )
    return [
        Contradiction(f"Answers contradict each other: {one}. Look again; until then they count for less.")
        for one in found
    ]


def _small(given: Mapping[str, object], field: str) -> bool:
    size = given.get(field)
    return isinstance(size, (int, float)) and size <= 3.0
