"""The credit at the foot of a panel: who made the card, and a QR code that leads there."""

from __future__ import annotations

from tackside.card.file.design import CREDIT, CardCredit, CardText, own_field, plain
from tackside.card.layout.placed import QUIET_MODULES, PlacedCode, rgb_in
from tackside.card.layout.texts import SAFE_MM, PlacedText, place_text
from tackside.card.layout.zones import frame_of
from tackside.card.type.fonts import Fonts
from tackside.errors import BadRecord, DoesNotFit
from tackside.fit.model import Panel, called
from tackside.records.sheet_plan import Space
from tackside.units import Box

GAP_MM = 1.5


def place_credit(
    asked: CardCredit, panel: Panel, margin_mm: float, fonts: Fonts, space: Space
) -> tuple[PlacedText | None, PlacedCode | None]:
    """The credit's text at the foot of its panel, and its code over it, both in the middle of the width.

    Raises DoesNotFit where they have no room, BadRecord for more than a code can hold.
    """
    text = _text(asked, panel, margin_mm, fonts, space) if asked.text else None
    if not asked.qr:
        return text, None
    modules = _modules(plain(asked.qr))
    frame = frame_of(panel)
    width, height = frame.size
    quiet = QUIET_MODULES * asked.qr_mm / len(modules)
    foot = height - margin_mm - SAFE_MM
    if text:
        # The text's block on the upright panel ends at the foot; the code's quiet zone ends a gap above it.
        tall = text.box_mm.h if frame.turn_deg in (0, 180) else text.box_mm.w
        foot -= tall + GAP_MM + quiet
    box = Box((width - asked.qr_mm) / 2, foot - asked.qr_mm, asked.qr_mm, asked.qr_mm)
    clear = margin_mm + SAFE_MM
    if box.y < clear or box.x < clear:
        raise DoesNotFit(
            "card.code-without-room",
            place=own_field("qr_mm"),
            code_mm=asked.qr_mm,
            panel=called(asked.panel),
            panel_mm=frame.size,
        )
    code = PlacedCode(
        frame.box_on_sheet(box), modules, frame.turn_deg, rgb_in(space, asked.colour), ground=None
    )
    return text, code


def _text(asked: CardCredit, panel: Panel, margin_mm: float, fonts: Fonts, space: Space) -> PlacedText:
    words = CardText(
        panel=asked.panel,
        text=asked.text,
        size_pt=asked.size_pt,
        face=asked.face,
        colour=asked.colour,
        place="foot",
    )
    return place_text(words, panel, margin_mm, fonts, space, CREDIT)


def _modules(content: str) -> tuple[tuple[bool, ...], ...]:
    import segno  # kept off the start-up path

    try:
        code = segno.make(content, error="m", micro=False)
    except (segno.DataOverflowError, ValueError) as error:
        raise BadRecord("card.code-too-long", place=own_field("qr")) from error
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)
