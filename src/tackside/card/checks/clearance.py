"""Warnings about what stands nearer to an edge or a crease than the printer keeps its place."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.card.checks.rounding import up_to_tenth
from tackside.card.layout.layout import CardFace
from tackside.card.layout.pictures import PlacedPicture
from tackside.card.layout.texts import PlacedText
from tackside.fit.fold.panels import called
from tackside.fit.model import Panel
from tackside.messages.message import Message
from tackside.units import Box

# Safe zone inside the trim: docs/sources.md, S18.
SAFE_ZONE_MM = 3.0
SLACK_MM = 0.05


def on_clearance(face: CardFace, residual_mm: float, *, measured: bool) -> Iterator[Message]:
    """Borders and contents nearer than twice the residual to an edge or a crease, or nearer than the safe zone to
    an edge; each with its figure and the smallest safe value.
    """
    safe = 2 * residual_mm
    why = Message("card-remark.lands-off" if measured else "card-remark.lands-off-unmeasured", off_mm=safe)
    for placed in face.pictures:
        yield from _picture(placed, face.zones[placed.asked.panel], face, safe, why)
    for text in face.texts:
        yield from _text(text, face.zones[text.asked.panel], face.trim, safe, why)


def start_of(text: PlacedText, length: int) -> str:
    """The first words of a text, which tell it from others."""
    words = " ".join(text.asked.text.split())
    return words if len(words) <= length else f"{words[: length - 1]}…"


def _picture(
    placed: PlacedPicture, zone: Panel, face: CardFace, safe: float, why: Message
) -> Iterator[Message]:
    """A border is one by design; a picture that runs to the crease shows every shift on the next panel."""
    asked = placed.asked
    about = {"panel": called(zone.name), "why": why, "smallest_mm": up_to_tenth(safe), "part": placed.part}
    if 0 < asked.border_mm < safe - SLACK_MM:
        yield Message("card-remark.border-uneven", border_mm=asked.border_mm, **about)
        return
    if asked.placed_mm is not None:
        edge = min(
            (gap for gap in _edge_gaps(placed.box_mm, zone.trim, face.trim) if gap > -SLACK_MM), default=safe
        )
        if edge < safe - SLACK_MM:
            yield Message("card-remark.strip-uneven", file=asked.file, gap_mm=max(edge, 0.0), **about)
    gaps = [gap for gap in _crease_gaps(placed.box_mm, zone.trim, face.trim) if gap < safe - SLACK_MM]
    if gaps and asked.border_mm == 0:
        yield Message(
            "card-remark.picture-near-crease",
            file=asked.file,
            gap_mm=max(min(gaps), 0.0),
            face="outside" if face.side == "front" else "inside",
            **about,
        )


def _text(text: PlacedText, zone: Panel, trim: Box, safe: float, why: Message) -> Iterator[Message]:
    box = text.box_mm
    about = {"start": start_of(text, 30), "panel": called(zone.name), "part": text.part}
    past = max(-gap for gap in _gaps(box, zone.trim))
    if past > SLACK_MM:
        yield Message("card-remark.text-out-of-panel", past_mm=past, **about)
        return
    if not zone.printable.contains(box, SLACK_MM):
        reached = zone.printable
        yield Message(
            "card-remark.text-in-margin",
            reached_mm=(reached.w, reached.h),
            left_mm=reached.x - zone.trim.x,
            top_mm=reached.y - zone.trim.y,
            **about,
        )
    crease = min(_crease_gaps(box, zone.trim, trim), default=safe)
    if crease < safe - SLACK_MM:
        yield Message(
            "card-remark.text-near-crease", gap_mm=crease, why=why, smallest_mm=up_to_tenth(safe), **about
        )
    edge = min(_edge_gaps(box, zone.trim, trim), default=SAFE_ZONE_MM)
    wanted = max(SAFE_ZONE_MM, safe)
    if edge < wanted - SLACK_MM:
        yield Message("card-remark.text-near-edge", gap_mm=edge, smallest_mm=up_to_tenth(wanted), **about)


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
