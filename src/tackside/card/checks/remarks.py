"""What a card maker should know before the sheet goes in: cut edges, uneven borders, pictures with too few
pixels, things too near to an edge or a crease.
"""

from __future__ import annotations

from collections.abc import Iterator

from tackside.card.checks.clearance import on_nearness
from tackside.card.checks.rounding import tenths_up
from tackside.card.checks.text_remarks import on_codes, on_texts
from tackside.card.layout.layout import CardFace, edge_margin
from tackside.card.layout.pictures import PlacedPicture
from tackside.fit.model import Fit, Panel
from tackside.fit.placement.measured import UNMEASURED
from tackside.units import Box

# The eye's limit at 30 cm is 291 ppi, at 25 cm 349 (3438 ÷ viewing distance in inches); half of it looks
# soft.
FINE_PPI = 300.0
SOFT_PPI = 150.0
SLACK_MM = 0.05


def remarks(face: CardFace, grid_ppi: float, residual_mm: float | None = None) -> tuple[str, ...]:
    """Sentences about one face, in the order of its pictures; then its texts.

    ``residual_mm`` is the standard deviation of an edge's place on the next print, None where it is not measured.
    """
    zones = face.zones
    is_cut = (face.trim.w, face.trim.h) != face.fit.size_mm
    found: list[str] = list(_cut_larger(face)) if is_cut else []
    for placed in face.pictures:
        zone = zones[placed.asked.panel]
        found += (f"{warning}." for warning in placed.picture.warnings)
        found += _edges(placed, zone, face.fit, is_cut=is_cut)
        found += _resolution(placed, min(FINE_PPI, grid_ppi))
    found += _grounds(face)
    found += on_texts(face)
    found += on_codes(face)
    measured = residual_mm is not None
    found += on_nearness(
        face, UNMEASURED.residual_mm if residual_mm is None else residual_mm, measured=measured
    )
    return tuple(dict.fromkeys(found))


def _edges(placed: PlacedPicture, zone: Panel, fit: Fit, *, is_cut: bool) -> Iterator[str]:
    asked = placed.asked
    unreached = edge_margin(zone)
    if not zone.is_reached:
        yield f"The printer reaches no part of the {zone.name} panel, so {asked.file} will not be printed."
        return
    on_card = placed.box_mm.intersection(zone.trim) or placed.box_mm
    hidden = not zone.printable.contains(on_card, SLACK_MM)
    if hidden and asked.border_mm == 0:
        yield (
            f"{asked.file} runs to the edge of the {zone.name} panel, but the printer leaves a margin "
            f"there: it prints only {_said(zone.printable)}; border_mm = {tenths_up(unreached)} or more keeps the "
            "borders equal."
        )
    elif hidden:
        yield (
            f"The border of {asked.border_mm:g} mm on the {zone.name} panel is narrower than the printer's "
            f"margin of {unreached:.1f} mm, so the borders come out unequal; the smallest equal one is "
            f"border_mm = {tenths_up(unreached)}."
        )
    if fit.borderless and fit.enlargement_mm and not is_cut:
        yield from _enlargement(placed, zone, fit.enlargement_mm)


def _enlargement(placed: PlacedPicture, zone: Panel, enlargement: float) -> Iterator[str]:
    """What borderless printing does: it enlarges the sheet past its edges, the crease stays."""
    asked = placed.asked
    touches_edge = not zone.trim.shrunk(SLACK_MM).contains(placed.box_mm)
    if touches_edge:
        yield (
            f"Borderless printing carries about {enlargement:g} mm of {asked.file} past each outer edge of "
            f"the {zone.name} panel; keep what matters further in."
        )
    elif asked.border_mm > 0:
        yield (
            f"Borderless printing makes the border on the {zone.name} panel about {enlargement:g} mm "
            "narrower at the outer edges than at the crease; print with margins instead, as nothing here reaches "
            "an edge."
        )


def _cut_larger(face: CardFace) -> Iterator[str]:
    """Borderless printing enlarges the whole sheet, and with it a card that is cut out of its middle."""
    enlargement = face.fit.enlargement_mm
    if not face.fit.borderless or not enlargement:
        return
    width, height = (
        part * 2 * enlargement / whole
        for part, whole in zip((face.trim.w, face.trim.h), face.fit.size_mm, strict=True)
    )
    yield (
        f"Borderless printing makes the card that is cut out about {width:.1f} × {height:.1f} mm larger; print with "
        "margins instead, as its edges are cut."
    )


def _grounds(face: CardFace) -> Iterator[str]:
    """Flat colours run to the edges of their panels: said where the printer does not reach so far."""
    for fill in face.fills:
        on_card = fill.box_mm.intersection(face.trim) or fill.box_mm
        zone = next((each for each in face.zones.values() if each.trim.contains(on_card, SLACK_MM)), None)
        if zone and zone.is_reached and not zone.printable.contains(on_card, SLACK_MM):
            yield (
                f"The ground of the {zone.name} panel runs to its edges, but the printer leaves a margin there: it "
                f"prints only {_said(zone.printable)}. Print it borderless, or on a larger sheet that you cut "
                "(cut_to_mm)."
            )


def _resolution(placed: PlacedPicture, wanted: float) -> Iterator[str]:
    if placed.ppi >= wanted - 0.5:
        return
    asked = placed.asked
    need_w = round(placed.part_px.w * wanted / placed.ppi)
    need_h = round(placed.part_px.h * wanted / placed.ppi)
    looks = "clearly soft" if placed.ppi < SOFT_PPI else "a little soft"
    yield (
        f"{asked.file} has {placed.ppi:.0f} pixels an inch on the {asked.panel} panel, under {wanted:.0f}, "
        f"and will look {looks}; a sharp print needs {need_w} × {need_h} pixels there."
    )


def _said(box: Box) -> str:
    return f"{box.w:.1f} × {box.h:.1f} mm of the panel"
