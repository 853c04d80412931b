"""The form that begins a card: its name, the stock or a format, the printer, which way it folds."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import ValidationError

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.card.file.design import CardParts
from tackside.errors import NotFound
from tackside.files.record_faults import field_faults
from tackside.messages.message import Message
from tackside.records import Crease, Stock
from tackside.records.card import KeptCard
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled
from tackside.web.shell.navigation import _
from tackside.workflow.cards.kept import kept_card

FIELDS = ("name", "stock", "format", "printer", "fold")
# Open sheet as fed, and its crease: (width, height, direction). Folded sizes by ISO 216 and ISO 269's common cards.
FORMATS: dict[str, tuple[str, float, float, str]] = {
    "A5 folded to A6": (_("A5, folded to A6 upright"), 210.0, 148.0, "vertical"),
    "A5 folded to A6 wide": (_("A5, folded to A6 wide"), 148.0, 210.0, "horizontal"),
    "A4 folded to A5": (_("A4, folded to A5 upright"), 297.0, 210.0, "vertical"),
    "A4 folded to A5 wide": (_("A4, folded to A5 wide"), 210.0, 297.0, "horizontal"),
    "Square 148 folded": (_("Square, folded to 148 × 148 mm"), 296.0, 148.0, "vertical"),
    "5 by 7 inch folded": (_("5 × 7 in, folded"), 254.0, 177.8, "vertical"),
    "A6 flat": (_("A6, not folded"), 105.0, 148.0, ""),
}


@dataclass(frozen=True)
class Begun:
    """A card to be kept; ``stock`` is one to be described first, for a format that the bench has no card of."""

    card: KeptCard
    stock: Stock | None


def begun_from(form: Form, bench: Bench) -> Begun | Filled:
    """The card that was begun, or the form with each fault beside its field."""
    faults: dict[str, Message] = {}
    named, new = form.get("stock"), None
    if not named and form.get("format") in FORMATS:
        named = form.get("format")
        new = _stock_of(named, bench)
    elif not named:
        faults["stock"] = Message("form.no-card-chosen")
    printer = form.get("printer")
    for field, name, shelf in (
        ("stock", named if new is None else "", bench.stocks),
        ("printer", printer, bench.printers),
    ):
        if name:
            try:
                shelf.revision(name)
            except NotFound as error:
                faults[field] = error.message
    if not printer:
        faults["printer"] = Message("form.no-printer-chosen")
    if faults:
        return Filled(form.typed(), faults)
    try:
        parts = CardParts.model_validate(
            {"stock": named, "printer": printer, "fold": form.get("fold") or None}
        )
        return Begun(kept_card(form.get("name") or free_name(bench), parts, ()), new)
    except ValidationError as error:
        for fault in field_faults(error, KeptCard):
            faults.setdefault(str(fault.place.path[0]) if fault.place.path else "", fault.message)
        return Filled(form.typed(), faults)


def free_name(bench: Bench) -> str:
    """A name for a card that was given none."""
    number = bench.catalogue.cards(ListAsked(count=1))[1] + 1
    while True:
        try:
            bench.cards.revision(f"Card {number}")
        except NotFound:
            return f"Card {number}"
        number += 1


def _stock_of(name: str, bench: Bench) -> Stock | None:
    """A stock of that format, None where the bench has it already."""
    try:
        bench.stocks.revision(name)
    except NotFound:
        _label, width, height, direction = FORMATS[name]
        middle = width / 2 if direction == "vertical" else height / 2
        crease = {"vertical": "vertical", "horizontal": "horizontal"}.get(direction)
        creases = (Crease.model_validate({"direction": crease, "at_mm": middle}),) if crease else ()
        return Stock(name=name, open_size_mm=(width, height), creases=creases)
    return None
