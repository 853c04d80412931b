"""The card laid out: each face of the open sheet with its panels, pictures and texts, all in mm."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.records import Stock
from tackside.bench.records.sheet_plan import Side
from tackside.card.design import Card
from tackside.card.pictures import PlacedPicture, place_picture
from tackside.card.texts import PlacedText, place_text
from tackside.errors import BadRecord
from tackside.fit.model import Fit, Panel
from tackside.fit.panels import panels
from tackside.picture import open_picture

SIDES: tuple[Side, Side] = ("front", "back")


@dataclass(frozen=True)
class CardFace:
    """One face of the open sheet. ``fit`` is that of the stock and printer for this side, ``panels`` with the
    turn that this card's fold asks for."""

    side: Side
    fit: Fit
    panels: tuple[Panel, ...]
    pictures: tuple[PlacedPicture, ...]
    texts: tuple[PlacedText, ...]

    @property
    def name(self) -> str:
        """``outside``, ``inside``, or ``back`` on a flat card."""
        if self.side == "front":
            return "outside"
        return "inside" if len(self.panels) > 1 else "back"

    @property
    def is_empty(self) -> bool:
        return not self.pictures and not self.texts


def lay_out(card: Card, stock: Stock, fits: dict[Side, Fit]) -> tuple[CardFace, ...]:
    """The faces that hold something, outside first. Opens the pictures (their headers only).

    Raises BadRecord for a panel that the stock does not have, DoesNotFit, BadImage.
    """
    turned = {side: _turned(card, stock, fits[side]) for side in SIDES}
    _refuse_unknown_panels(card, turned)
    faces = (_face(card, side, fits[side], turned[side]) for side in SIDES)
    return tuple(face for face in faces if not face.is_empty)


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


def _turned(card: Card, stock: Stock, fit: Fit) -> tuple[Panel, ...]:
    """The fit's panels, their contents turned for the way this card stands."""
    turns = {
        panel.name: panel.turn_deg for panel in panels(stock.open_size_mm, stock.creases, fit.side, card.fold)
    }
    return tuple(panel.model_copy(update={"turn_deg": turns[panel.name]}) for panel in fit.panels)


def _face(card: Card, side: Side, fit: Fit, turned: tuple[Panel, ...]) -> CardFace:
    by_name = {panel.name: panel for panel in turned}
    pictures = tuple(
        place_picture(asked, open_picture(card.folder / asked.file), by_name[asked.panel])
        for asked in card.pictures
        if asked.panel in by_name
    )
    texts = tuple(
        place_text(asked, by_name[asked.panel], edge_margin(by_name[asked.panel]))
        for asked in card.texts
        if asked.panel in by_name
    )
    return CardFace(side, fit, turned, pictures, texts)


def _refuse_unknown_panels(card: Card, turned: dict[Side, tuple[Panel, ...]]) -> None:
    known = [panel.name for side in SIDES for panel in turned[side]]
    for asked in [part.panel for part in card.pictures] + [part.panel for part in card.texts]:
        if asked not in known:
            raise BadRecord(
                f'the card names a panel "{asked}", which {card.stock} does not have',
                f"choose one of {', '.join(known)}",
            )
