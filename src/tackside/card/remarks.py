"""What a card maker should know before the sheet goes in: cut edges, uneven borders, pictures with too few
pixels.
"""

from __future__ import annotations

from collections.abc import Iterator

from tackside.card.layout import CardFace, edge_margin
from tackside.card.pictures import PlacedPicture
from tackside.fit.model import Fit, Panel
from tackside.units import Box

# The eye's limit at 30 cm is 291 ppi, at 25 cm 349 (3438 ÷ viewing distance in inches); half of it looks
# soft.
FINE_PPI = 300.0
SOFT_PPI = 150.0
SLACK_MM = 0.05


def remarks(face: CardFace, grid_ppi: float) -> tuple[str, ...]:
    """Sentences about one face, in the order of its pictures; then its texts."""
    panels = {panel.name: panel for panel in face.panels}
    found: list[str] = []
    for placed in face.pictures:
        panel = panels[placed.asked.panel]
        found += (f"{warning}." for warning in placed.picture.warnings)
        found += _edges(placed, panel, face.fit)
        found += _resolution(placed, min(FINE_PPI, grid_ppi))
    found += _text_over_picture(face)
    return tuple(dict.fromkeys(found))


def _edges(placed: PlacedPicture, panel: Panel, fit: Fit) -> Iterator[str]:
    asked = placed.asked
    unreached = edge_margin(panel)
    if not panel.is_reached:
        yield f"The printer reaches no part of the {panel.name} panel, so {asked.file} will not be printed."
        return
    hidden = not panel.printable.contains(placed.box_mm, SLACK_MM)
    if hidden and asked.border_mm == 0:
        yield (
            f"{asked.file} runs to the edge of the {panel.name} panel, but the printer leaves a margin "
            "there: it prints "
            f"only {_said(panel.printable)}; border_mm = {_up(unreached)} or more keeps the borders equal."
        )
    elif hidden:
        yield (
            f"The border of {asked.border_mm:g} mm on the {panel.name} panel is narrower than the printer's "
            "margin of "
            f"{unreached:.1f} mm, so the borders come out unequal; the smallest equal one is border_mm = "
            f"{_up(unreached)}."
        )
    if fit.borderless and fit.enlargement_mm:
        yield from _enlargement(placed, panel, fit.enlargement_mm)


def _enlargement(placed: PlacedPicture, panel: Panel, enlargement: float) -> Iterator[str]:
    """What borderless printing does: it enlarges the sheet past its edges, the crease stays."""
    asked = placed.asked
    touches_edge = not panel.trim.shrunk(SLACK_MM).contains(placed.box_mm)
    if touches_edge:
        yield (
            f"Borderless printing carries about {enlargement:g} mm of {asked.file} past each outer edge of "
            "the "
            f"{panel.name} panel; keep what matters further in."
        )
    elif asked.border_mm > 0:
        yield (
            f"Borderless printing makes the border on the {panel.name} panel about {enlargement:g} mm "
            "narrower at the "
            "outer edges than at the crease; print with margins instead, as nothing here reaches an edge."
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
        "and will look "
        f"{looks}; a sharp print needs {need_w} × {need_h} pixels there."
    )


def _text_over_picture(face: CardFace) -> Iterator[str]:
    for text in face.texts:
        for placed in face.pictures:
            if text.box_mm.intersection(placed.box_mm):
                yield (
                    f"The text on the {text.asked.panel} panel stands on {placed.asked.file}, in black; "
                    "look whether it can be read there."
                )


def _said(box: Box) -> str:
    return f"{box.w:.1f} × {box.h:.1f} mm of the panel"


def _up(mm: float) -> str:
    """A border that is surely wide enough: the next tenth of a mm."""
    tenths = -int(-(mm * 10) // 1)
    return f"{tenths / 10:g}"
