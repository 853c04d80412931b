"""The card laid out: each face of the open sheet with its panels and all that stands on them, in mm."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from tackside.card.file.design import (
    CREDIT,
    Card,
    CardParts,
    CardPicture,
    CardText,
    picture_part,
    refuse_outside,
    text_part,
    within,
)
from tackside.card.layout.credit import place_credit
from tackside.card.layout.placed import (
    PlacedCode,
    PlacedFill,
    PlacedPicture,
    PlacedRule,
    place_picture,
    rgb_in,
)
from tackside.card.layout.texts import PlacedText, missing_characters, place_text
from tackside.card.layout.ticks import ticks
from tackside.card.layout.zones import cut_panels, trim_of, whole_face, with_bleed
from tackside.card.type.fonts import Fonts, fonts_of
from tackside.errors import BadRecord
from tackside.fit.fold.panels import panels
from tackside.fit.model import Fit, Panel
from tackside.messages.place import Place
from tackside.picture.file.open import Picture, open_picture
from tackside.records import Stock
from tackside.records.sheet_plan import Side, Space
from tackside.units import Box

SIDES: tuple[Side, Side] = ("front", "back")
WHITE = (1.0, 1.0, 1.0)
WHOLE_FACES = ("outside", "inside")
Opener = Callable[[CardPicture], Picture]


@dataclass(frozen=True)
class CardFace:
    """One face of the open sheet, ``side`` "front" the card's outside. ``fit`` is that of the stock and printer for
    this side, ``panels`` with the turn that this card's fold asks for, and cut to the card where it is smaller than its
    sheet.

    ``trim`` is the open card on the sheet, ``bleed`` what may be printed round it. Drawn in this order: ``fills``,
    ``pictures``, ``codes``, ``texts``, ``rules``.
    """

    side: Side
    fit: Fit
    panels: tuple[Panel, ...]
    pictures: tuple[PlacedPicture, ...]
    texts: tuple[PlacedText, ...]
    trim: Box
    bleed: Box
    fills: tuple[PlacedFill, ...] = ()
    codes: tuple[PlacedCode, ...] = ()
    rules: tuple[PlacedRule, ...] = ()

    @property
    def name(self) -> str:
        """``outside``, ``inside``, or ``back`` on a flat card."""
        if self.side == "front":
            return "outside"
        return "inside" if len(self.panels) > 1 else "back"

    @property
    def is_empty(self) -> bool:
        return not (self.pictures or self.texts or self.fills or self.codes)

    @property
    def zones(self) -> dict[str, Panel]:
        """The panels by name, and the whole face by its own."""
        return _zones(self.panels, self.side)


def lay_out(
    card: Card, stock: Stock, fits: Mapping[Side, Fit], fonts: Fonts | None = None, *, drawn: bool = False
) -> tuple[CardFace, ...]:
    """The faces that hold something, outside first. Opens the pictures (their headers only).

    ``stock`` and ``fits`` are as the card sees them: "front" is its outside (``fit.fold.panels``). ``fonts`` are those
    at hand, by default the shipped ones, the card's and this computer's. ``drawn``: for a screen alone, where
    characters that no font has are left out; else they are refused. Raises BadRecord for a panel that the stock does
    not have, DoesNotFit, BadImage.
    """

    def opened(asked: CardPicture) -> Picture:
        refuse_outside(asked.file, card.folder)
        return open_picture(card.folder / asked.file)

    faces = every_face(card, stock, fits, fonts or fonts_of(card), opened)
    if not drawn:
        for text in (text for face in faces for text in face.texts if text.missing):
            with within(text.part):
                raise missing_characters(text)
    found = [face for face in faces if not face.is_empty]
    if card.ticks:
        found[0] = replace(found[0], rules=ticks(found[0].trim, found[0].fit, found[0].fit.creases))
    return tuple(found)


def every_face(
    card: CardParts,
    stock: Stock,
    fits: Mapping[Side, Fit],
    fonts: Fonts,
    opened: Opener,
    without: Collection[Place] = (),
) -> tuple[CardFace, CardFace]:
    """Both faces, whatever they hold, the outside first. ``opened`` gives each picture, ``without`` are parts to leave
    out. Raises as ``lay_out``.
    """
    trim = trim_of(stock.open_size_mm, card.cut_to_mm)
    parts = {side: cut_panels(_turned(card, stock, fits[side], side), trim) for side in SIDES}
    _refuse_unknown_panels(card, parts, without)
    outside, inside = (
        _face(card, side, fits[side], parts[side], trim, fonts, opened, without) for side in SIDES
    )
    return outside, inside


def edge_margin(panel: Panel) -> float:
    """The widest strip along one of the panel's edges that the printer does not reach, in mm."""
    trim, reached = panel.trim, panel.printable
    strips = (
        reached.x - trim.x,
        reached.y - trim.y,
        trim.right - reached.right,
        trim.bottom - reached.bottom,
    )
    return max(0.0, *strips)


def _turned(card: CardParts, stock: Stock, fit: Fit, side: Side) -> tuple[Panel, ...]:
    """The fit's panels, their contents turned for the way this card stands."""
    turns = {
        panel.name: panel.turn_deg for panel in panels(stock.open_size_mm, stock.creases, side, card.fold)
    }
    return tuple(panel.model_copy(update={"turn_deg": turns[panel.name]}) for panel in fit.panels)


def _zones(parts: tuple[Panel, ...], side: Side) -> dict[str, Panel]:
    whole = whole_face(parts, side)
    return {panel.name: panel for panel in (*parts, *([whole] if whole else []))}


def _face(
    card: CardParts,
    side: Side,
    fit: Fit,
    parts: tuple[Panel, ...],
    trim: Box,
    fonts: Fonts,
    opened: Opener,
    without: Collection[Place],
) -> CardFace:
    zones = _zones(parts, side)
    pictures = tuple(
        _picture(asked, picture_part(number), zones[asked.panel], trim, fit, opened)
        for number, asked in sorted(
            enumerate(card.pictures), key=lambda each: each[1].panel not in WHOLE_FACES
        )
        if asked.panel in zones and picture_part(number) not in without
    )
    texts = [
        _text(asked, text_part(number), zones[asked.panel], fonts, card.space)
        for number, asked in enumerate(card.texts)
        if asked.panel in zones and text_part(number) not in without
    ]
    fills = tuple(_fills(card, zones, trim, fit))
    codes: tuple[PlacedCode, ...] = ()
    if card.credit and card.credit.panel in zones and CREDIT not in without:
        panel = zones[card.credit.panel]
        with within(CREDIT):
            text, code = place_credit(card.credit, panel, edge_margin(panel), fonts, card.space)
        texts += [text] if text else []
        codes = (_grounded(code, fills, pictures),) if code else ()
    bleed = with_bleed(trim, trim, fit).intersection(Box(0, 0, *fit.size_mm)) or trim
    return CardFace(side, fit, parts, pictures, tuple(texts), trim, bleed, fills, codes)


def _picture(
    asked: CardPicture, part: Place, zone: Panel, trim: Box, fit: Fit, opened: Opener
) -> PlacedPicture:
    """A picture that fills its panel to the edges gets its bleed; borders are measured from the trim."""
    bleed = with_bleed(zone.trim, trim, fit) if asked.border_mm == 0 else None
    if asked.placed_mm is None and asked.fit == "fill" and bleed is not None:
        zone = zone.model_copy(update={"trim": bleed})
    with within(part):
        return place_picture(asked, opened(asked), zone, bleed, part)


def _text(asked: CardText, part: Place, zone: Panel, fonts: Fonts, space: Space) -> PlacedText:
    with within(part):
        return place_text(asked, zone, edge_margin(zone), fonts, space, part)


def _fills(card: CardParts, zones: Mapping[str, Panel], trim: Box, fit: Fit) -> Iterator[PlacedFill]:
    """Grounds, whole faces before their panels."""
    asked = [(ground.panel, ground.colour) for ground in card.backgrounds]
    if card.background:
        asked.insert(0, ("outside", card.background))
    for name, colour in sorted(asked, key=lambda ground: ground[0] not in WHOLE_FACES):
        if name in zones:
            yield PlacedFill(with_bleed(zones[name].trim, trim, fit), rgb_in(card.space, colour))


def _grounded(
    code: PlacedCode, fills: tuple[PlacedFill, ...], pictures: tuple[PlacedPicture, ...]
) -> PlacedCode:
    """A code gets a white ground where it does not stand on bare card."""
    boxes = [*(fill.box_mm for fill in fills), *(placed.box_mm for placed in pictures)]
    covered = any(code.box_mm.intersection(box) for box in boxes)
    return replace(code, ground=WHITE) if covered else code


def _refuse_unknown_panels(
    card: CardParts, parts: Mapping[Side, tuple[Panel, ...]], without: Collection[Place]
) -> None:
    known = [panel.name for side in SIDES for panel in parts[side]]
    whole = [name for side in SIDES for name in _zones(parts[side], side) if name not in known]
    on_panels = [(text_part(number), part.panel) for number, part in enumerate(card.texts)]
    on_panels += [(CREDIT, card.credit.panel)] if card.credit else []
    anywhere = [(picture_part(number), part.panel) for number, part in enumerate(card.pictures)]
    anywhere += [
        (Place("card", ("backgrounds", number)), part.panel) for number, part in enumerate(card.backgrounds)
    ]
    for part, asked, choices in (
        *((part, asked, [*known, *whole]) for part, asked in anywhere),
        *((part, asked, known) for part, asked in on_panels),
    ):
        if asked in choices or part in without:
            continue
        place = Place(part.kind, (*part.path, "panel"))
        if asked in whole:
            raise BadRecord("card.text-on-a-face", place=place, name=asked, panels=tuple(choices))
        raise BadRecord(
            "card.unknown-panel", place=place, name=asked, stock=card.stock, panels=tuple(choices)
        )
