"""Answers that contradict each other: each pair with a message that says why."""

from __future__ import annotations

from collections.abc import Mapping

from tackside.messages.message import Message

# A ruler that is off by more than this was misread: no path scales so (a small card fitted into margins loses 7 %).
MOST_SCALE = 0.15


def contradictions(given: Mapping[str, object]) -> list[Message]:
    """What does not go together among the answers given (field → answer, unanswered ones left out)."""
    found = []
    if given.get("black_beside_good") == "much-less" and given.get("colour_beside_good") == "more":
        found.append(Message("eye.black-weaker-colours-richer"))
    if given.get("beside_screen") == "more" and given.get("colour_beside_good") == "much-less":
        found.append(Message("eye.stronger-than-screen-duller-than-print"))
    if (
        given.get("drag_this_side") == "no"
        and _small(given, "smallest_type_pt")
        and given.get("creep") == "no"
        and given.get("black_beside_good") == "same"
    ):
        found.append(Message("eye.bare-side-prints-well"))
    if given.get("creep") == "much" and _small(given, "smallest_reversed_type_pt"):
        found.append(Message("eye.creep-yet-small-type"))
    if given.get("greys_tint") == "none" and given.get("tint_strength") == "strong":
        found.append(Message("eye.no-tint-yet-strong"))
    for field in ("ruler_across_mm", "ruler_along_mm"):
        ruler = given.get(field)
        if isinstance(ruler, (tuple, list)) and abs(float(ruler[1]) / float(ruler[0]) - 1.0) > MOST_SCALE:
            found.append(Message("eye.ruler-misread", asked_mm=ruler[0], measured_mm=ruler[1]))
    return found


def _small(given: Mapping[str, object], field: str) -> bool:
    size = given.get(field)
    return isinstance(size, (int, float)) and size <= 3.0
