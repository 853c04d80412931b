"""Warnings about what stands nearer to an edge or a crease than the printer keeps its place."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.card.checks.rounding import tenths_up
from tackside.card.layout.layout import CardFace
from tackside.card.layout.pictures import PlacedPicture
from tackside.fit.model import Panel
from tackside.units import Box

# Safe zone inside the trim: docs/sources.md, S18.
SAFE_ZONE_MM = 3.0
SLACK_MM = 0.05


def on_nearness(face: CardFace, residual_mm: float, *, measured: bool) -> Iterator[str]:
    """Borders and contents nearer than twice the residual to an edge or a crease, or nearer than the safe zone to
    an edge; each with its figure and the smallest safe value.
    """
    safe = 2 * residual_mm
    why = (
        f"prints of this printer still land up to ±{safe:.1f} mm off"
        if measured
        else f"prints land up to ±{safe:.1f} mm off (unmeasured here, as the trade sees it)"
    )
    zones = face.zones
    for placed in face.pictures:
        yield from _picture(placed, zones[placed.asked.panel], face, safe, why)
    for text in face.texts:
        what = f'The text "{_start(text.asked.text)}" on the {text.asked.panel} panel'
        yield from _content(what, text.box_mm, zones[text.asked.panel], face.trim, safe, why)


def _picture(placed: PlacedPicture, zone: Panel, face: CardFace, safe: float, why: str) -> Iterator[str]:
    """A border is one by design; a picture that runs to the crease shows every shift on the next panel."""
    asked = placed.asked
    if 0 < asked.border_mm < safe - SLACK_MM:
        yield (
            f"The border of {asked.border_mm:g} mm on the {zone.name} panel may look uneven, as {why}; the smallest "
            f"safe one is border_mm = {tenths_up(safe)}."
        )
        return
    if asked.placed_mm is not None:
        edge = min(
            (gap for gap in _edge_gaps(placed.box_mm, zone.trim, face.trim) if gap > -SLACK_MM), default=safe
        )
        if edge < safe - SLACK_MM:
            yield (
                f"{asked.file} ends {max(edge, 0):.1f} mm from the card's edge on the {zone.name} panel, and {why}, so "
                f"the strip there may come out uneven; let it run past the edge, or end {tenths_up(safe)} mm or more "
                "from it."
            )
    gaps = [gap for gap in _crease_gaps(placed.box_mm, zone.trim, face.trim) if gap < safe - SLACK_MM]
    if gaps and asked.border_mm == 0:
        yield (
            f"{asked.file} stands {max(min(gaps), 0):.1f} mm from the crease on the {zone.name} panel, and {why}, so "
            f"it may stop short of the crease or run past it; border_mm = {tenths_up(safe)} is the smallest safe "
            "border, or let the picture run on over the crease with panel = "
            f'"{"outside" if face.side == "front" else "inside"}".'
        )


def _content(what: str, box: Box, zone: Panel, trim: Box, safe: float, why: str) -> Iterator[str]:
    past = max(-gap for gap in _gaps(box, zone.trim))
    if past > SLACK_MM:
        yield f"{what} stands {past:.1f} mm out of the panel; move its box_mm inwards."
        return
    if not zone.printable.contains(box, SLACK_MM):
        yield f"{what} stands in the printer's margin and will be cut; keep to {_inner(zone)}."
    crease = min(_crease_gaps(box, zone.trim, trim), default=safe)
    if crease < safe - SLACK_MM:
        yield f"{what} is {crease:.1f} mm from the crease, and {why}; keep {tenths_up(safe)} mm or more."
    edge = min(_edge_gaps(box, zone.trim, trim), default=SAFE_ZONE_MM)
    wanted = max(SAFE_ZONE_MM, safe)
    if edge < wanted - SLACK_MM:
        yield f"{what} is {edge:.1f} mm from the card's edge; keep {tenths_up(wanted)} mm or more."


def _gaps(box: Box, trim: Box) -> tuple[float, float, float, float]:
    return box.x - trim.x, box.y - trim.y, trim.right - box.right, trim.bottom - box.bottom


def _outer(zone: Box, trim: Box) -> tuple[bool, bool, bool, bool]:
    """Which of a panel's edges are the card's own: left, top, right, bottom. The rest are creases."""
    return (
        abs(zone.x - trim.x) < SLACK_MM,
        abs(zone.y - trim.y) < SLACK_MM,
        abs(zone.right - trim.right) < SLACK_MM,
        abs(zone.bottom - trim.bottom) < SLACK_MM,
    )


def _crease_gaps(box: Box, zone: Box, trim: Box) -> list[float]:
    return [gap for gap, outer in zip(_gaps(box, zone), _outer(zone, trim), strict=True) if not outer]


def _edge_gaps(box: Box, zone: Box, trim: Box) -> list[float]:
    return [gap for gap, outer in zip(_gaps(box, zone), _outer(zone, trim), strict=True) if outer]


def _inner(zone: Panel) -> str:
    x, y = zone.printable.x - zone.trim.x, zone.printable.y - zone.trim.y
    return (
        f"the {zone.printable.w:.1f} × {zone.printable.h:.1f} mm that it reaches, {x:.1f} mm from the panel's left "
        f"and {y:.1f} mm from its top as fed"
    )


def _start(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= 30 else f"{words[:29]}…"
