"""Hairlines outside the card that tell where to cut and where to crease."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tackside.card.layout.placed import PlacedRule
from tackside.card.layout.zones import BLEED_MM
from tackside.errors import DoesNotFit
from tackside.fit.model import Fit
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Crease
from tackside.units import Box

LENGTH_MM = 5.0
SHORTEST_MM = 1.0
HAIRLINE_MM = 0.09  # a quarter of a point
BLACK = (0.0, 0.0, 0.0)
EDGES = {
    "left": Message("card.at-left"),
    "top": Message("card.at-top"),
    "right": Message("card.at-right"),
    "bottom": Message("card.at-bottom"),
}


def ticks(trim: Box, fit: Fit, creases: Sequence[Crease]) -> tuple[PlacedRule, ...]:
    """Ticks at the corners, in line with the cuts, and broken ones in line with the creases; all past the bleed.

    Raises DoesNotFit where the sheet has no room for them.
    """
    width, height = fit.size_mm
    margins = fit.margins_mm
    room = {
        "left": trim.x - margins.left,
        "top": trim.y - margins.top,
        "right": width - trim.right - margins.right,
        "bottom": height - trim.bottom - margins.bottom,
    }
    for edge, there in room.items():
        if there < BLEED_MM + SHORTEST_MM:
            raise DoesNotFit(
                "card.ticks-without-room",
                place=Place("card", ("ticks",)),
                needed_mm=BLEED_MM + SHORTEST_MM,
                there_mm=max(there, 0.0),
                edge=EDGES[edge],
            )
    across = [crease.at_mm for crease in creases if crease.direction == "horizontal"]
    along = [crease.at_mm for crease in creases if crease.direction == "vertical"]
    found: list[PlacedRule] = []
    for edge, outwards in (("left", -1), ("right", 1)):
        start = (trim.x if edge == "left" else trim.right) + outwards * BLEED_MM
        end = start + outwards * min(LENGTH_MM, room[edge] - BLEED_MM)
        found += [_rule((start, y), (end, y)) for y in (trim.y, trim.bottom)]
        found += [rule for y in across for rule in _broken((start, y), (end, y))]
    for edge, outwards in (("top", -1), ("bottom", 1)):
        start = (trim.y if edge == "top" else trim.bottom) + outwards * BLEED_MM
        end = start + outwards * min(LENGTH_MM, room[edge] - BLEED_MM)
        found += [_rule((x, start), (x, end)) for x in (trim.x, trim.right)]
        found += [rule for x in along for rule in _broken((x, start), (x, end))]
    return tuple(found)


def _rule(start: tuple[float, float], end: tuple[float, float]) -> PlacedRule:
    return PlacedRule(start, end, HAIRLINE_MM, BLACK)


def _broken(start: tuple[float, float], end: tuple[float, float]) -> Iterator[PlacedRule]:
    """Two dashes with a gap between, so that nobody cuts along a crease."""

    def at(share: float) -> tuple[float, float]:
        return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share

    yield _rule(start, at(0.35))
    yield _rule(at(0.65), end)
