"""What a card maker should know before the sheet goes in: cut edges, uneven borders, pictures with too few
pixels, things too near to an edge or a crease; on which face of the stock each face of the card is printed, and how the
sheet is turned.

Each remark is a message whose value ``part`` is the part of the card that it concerns, as a place in the card file;
one that has none concerns the card as a whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tackside.card.checks.text_remarks import on_clearance_of_texts, on_codes, on_texts
from tackside.card.layout.layout import CardFace, edge_margin
from tackside.card.layout.placed import PlacedPicture
from tackside.card.layout.zones import SLACK_MM, crease_gaps, edge_gaps
from tackside.fit.fit_stock import WRONG_SIDE
from tackside.fit.fold.panels import OTHER
from tackside.fit.model import Fit, Panel, called
from tackside.fit.placement.measured import UNMEASURED, PrintPath
from tackside.messages.message import Message
from tackside.records import Stock
from tackside.records.sheet_plan import Side
from tackside.units import up_to_tenth

# The eye's limit at 30 cm is 291 ppi, at 25 cm 349 (3438 ÷ viewing distance in inches); half of it looks
# soft.
FINE_PPI = 300.0
SOFT_PPI = 150.0


def remarks(face: CardFace, grid_ppi: float, residual_mm: float | None = None) -> tuple[Message, ...]:
    """Remarks on one face, in the order of its pictures; then its texts.

    ``residual_mm`` is the standard deviation of an edge's place on the next print, None where it is not measured.
    """
    zones = face.zones
    is_cut = (face.trim.w, face.trim.h) != face.fit.size_mm
    found: list[Message] = list(_cut_larger(face)) if is_cut else []
    for placed in face.pictures:
        zone = zones[placed.asked.panel]
        found += (
            Message("card-remark.opened", says=warning, part=placed.part)
            for warning in placed.picture.warnings
        )
        found += _edges(placed, zone, face.fit, is_cut=is_cut)
        found += _resolution(placed, min(FINE_PPI, grid_ppi))
    found += _grounds(face)
    found += on_texts(face)
    found += on_codes(face)
    safe = 2 * (UNMEASURED.residual_mm if residual_mm is None else residual_mm)
    why = Message(
        "card-remark.lands-off-unmeasured" if residual_mm is None else "card-remark.lands-off", off_mm=safe
    )
    for placed in face.pictures:
        found += _near_picture(placed, zones[placed.asked.panel], face, safe, why)
    found += on_clearance_of_texts(face, safe, why)
    return tuple(dict.fromkeys(found))


def _edges(placed: PlacedPicture, zone: Panel, fit: Fit, *, is_cut: bool) -> Iterator[Message]:
    asked = placed.asked
    panel, unreached = called(zone.name), edge_margin(zone)
    if not zone.is_reached:
        yield Message("card-remark.not-reached", panel=panel, file=asked.file, part=placed.part)
        return
    on_card = placed.box_mm.intersection(zone.trim) or placed.box_mm
    hidden = not zone.printable.contains(on_card, SLACK_MM)
    if hidden and asked.border_mm == 0:
        yield Message(
            "card-remark.picture-past-margin",
            file=asked.file,
            panel=panel,
            reached_mm=(zone.printable.w, zone.printable.h),
            border_mm=up_to_tenth(unreached),
            part=placed.part,
        )
    elif hidden:
        yield Message(
            "card-remark.border-under-margin",
            border_mm=asked.border_mm,
            panel=panel,
            margin_mm=unreached,
            smallest_mm=up_to_tenth(unreached),
            part=placed.part,
        )
    if fit.borderless and fit.enlargement_mm and not is_cut:
        yield from _enlargement(placed, zone, fit.enlargement_mm)


def _enlargement(placed: PlacedPicture, zone: Panel, enlargement: float) -> Iterator[Message]:
    """What borderless printing does: it enlarges the sheet past its edges, the crease stays."""
    asked = placed.asked
    about = {"enlargement_mm": enlargement, "panel": called(zone.name), "part": placed.part}
    if not zone.trim.shrunk(SLACK_MM).contains(placed.box_mm):
        yield Message("card-remark.enlarged-past-edge", file=asked.file, **about)
    elif asked.border_mm > 0:
        yield Message("card-remark.enlarged-border", **about)


def _cut_larger(face: CardFace) -> Iterator[Message]:
    """Borderless printing enlarges the whole sheet, and with it a card that is cut out of its middle."""
    enlargement = face.fit.enlargement_mm
    if not face.fit.borderless or not enlargement:
        return
    larger = tuple(
        part * 2 * enlargement / whole
        for part, whole in zip((face.trim.w, face.trim.h), face.fit.size_mm, strict=True)
    )
    yield Message("card-remark.enlarged-cut", larger_mm=larger)


def _grounds(face: CardFace) -> Iterator[Message]:
    """Flat colours run to the edges of their panels: said where the printer does not reach so far."""
    for fill in face.fills:
        on_card = fill.box_mm.intersection(face.trim) or fill.box_mm
        zone = next((each for each in face.zones.values() if each.trim.contains(on_card, SLACK_MM)), None)
        if zone and zone.is_reached and not zone.printable.contains(on_card, SLACK_MM):
            yield Message(
                "card-remark.ground-past-margin",
                panel=called(zone.name),
                reached_mm=(zone.printable.w, zone.printable.h),
            )


def _resolution(placed: PlacedPicture, wanted: float) -> Iterator[Message]:
    if placed.ppi >= wanted - 0.5:
        return
    yield Message(
        "card-remark.clearly-soft" if placed.ppi < SOFT_PPI else "card-remark.a-little-soft",
        file=placed.asked.file,
        ppi=placed.ppi,
        panel=called(placed.asked.panel),
        wanted=wanted,
        width=round(placed.part_px.w * wanted / placed.ppi),
        height=round(placed.part_px.h * wanted / placed.ppi),
        part=placed.part,
    )


def _near_picture(
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
            (gap for gap in edge_gaps(placed.box_mm, zone.trim, face.trim) if gap > -SLACK_MM), default=safe
        )
        if edge < safe - SLACK_MM:
            yield Message("card-remark.strip-uneven", file=asked.file, gap_mm=max(edge, 0.0), **about)
    gaps = [gap for gap in crease_gaps(placed.box_mm, zone.trim, face.trim) if gap < safe - SLACK_MM]
    if gaps and asked.border_mm == 0:
        yield Message(
            "card-remark.picture-near-crease",
            file=asked.file,
            gap_mm=max(min(gaps), 0.0),
            face="outside" if face.side == "front" else "inside",
            **about,
        )


def of_fit(fit: Fit) -> tuple[Message, ...]:
    """What the fit warns of, but for the coating: of that ``on_faces`` speaks, which knows what is printed."""
    return tuple(each for each in fit.warnings if each not in WRONG_SIDE.values())


def on_faces(faces: Sequence[CardFace], stock: Stock, outside: Side, path: PrintPath) -> tuple[Message, ...]:
    """Remarks on the faces that hold something. ``stock`` and ``path`` are as the card sees them."""
    return tuple(_on_faces(faces, stock, outside, path))


def _on_faces(faces: Sequence[CardFace], stock: Stock, outside: Side, path: PrintPath) -> Iterator[Message]:
    for face in faces:
        if stock.coated == OTHER[face.side]:
            yield Message(
                "card-remark.on-bare-side",
                face=face_called(face),
                side=Message(f"fit.face-{stock_side(face, outside)}"),
            )
    if path.tried is False and {face.side for face in faces} == {"front", "back"}:
        second = next(face for face in faces if face.side == "back")
        yield Message("card-remark.second-side-untried", face=face_called(second))


def stock_side(face: CardFace, outside: Side) -> Side:
    """Which face of the stock a face of the card is printed on."""
    return outside if face.side == "front" else OTHER[outside]


def face_called(face: CardFace) -> Message:
    """A face of the card in words; of a flat card, its front or its back."""
    flat = len(face.panels) == 1
    return Message("panel.front" if flat and face.side == "front" else f"panel.{face.name}")
