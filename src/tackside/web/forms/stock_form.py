"""The form of a stock: from what was typed to the record, and from a record back to what stands in the fields."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from tackside.files.record_faults import Path, field_faults
from tackside.messages.message import Message
from tackside.messages.wording import Units
from tackside.records import Stock
from tackside.typed.length import size_mm
from tackside.typed.price import TypedPrice
from tackside.web.forms.numbers import caliper_mm, length_mm, price, weight, whole
from tackside.web.forms.received import Form
from tackside.web.i18n.preferences import Person
from tackside.workflow.stocks.describe import ground
from tackside.workflow.stocks.questions import OPEN

MOST_CREASES = 4
FIELDS = (
    "name", "base", "surface", "weight_gsm", "caliper_mm", "coated", "coated_found_by", "size", "folds", "width",
    "height", "crease_direction", "crease_at", "pack_count", "pack_price", "pack_currency", "sold_for_inkjet", "notes",
)  # fmt: skip


@dataclass(frozen=True)
class Filled:
    """What stands in the fields of a form, and what is wrong with it, by field; ``""`` is the form as a whole.

    ``doubts``: what may be a slip, to be looked at again.
    """

    values: dict[str, str]
    faults: dict[str, Message] = field(default_factory=dict)
    doubts: tuple[Message, ...] = ()


def stock_from(form: Form, person: Person, *, kept: Stock | None = None) -> Stock | Filled:
    """The stock that was typed, or the form to be shown again with each fault beside its field.

    ``kept`` is the stock that is being edited: creases beyond the first, which the form does not show, stay.
    """
    typed = {name: form.get(name) for name in FIELDS}
    units: Units = "in" if form.get("units", person.units) == "in" else "mm"
    edges: tuple[float | str | None, float | str | None]
    if typed["size"] and not (typed["width"] or typed["height"]):
        given = typed["size"]
        size = size_mm(given, units)
        if size is None:
            return Filled(form.typed(), {"size": Message("typed.no-size", given=given)})
        edges, creases = ground(size, typed["folds"] or OPEN)
    else:
        edges = (length_mm(typed["width"], units), length_mm(typed["height"], units))
        creases = _creases(typed, units, kept)
    data: dict[str, Any] = {
        "name": typed["name"],
        "weight_gsm": weight(typed["weight_gsm"]),
        "caliper_mm": caliper_mm(typed["caliper_mm"], units),
        "open_size_mm": list(edges),
        "creases": creases,
        "notes": typed["notes"].replace("\r\n", "\n"),
        "sold_for_inkjet": {"yes": True, "no": False}.get(typed["sold_for_inkjet"]),
    }
    data |= {name: typed[name] for name in ("base", "coated", "coated_found_by") if typed[name]}
    if typed["surface"]:
        data["surface"] = typed["surface"]
    if typed["pack_count"] or typed["pack_price"]:
        data["pack"] = _pack(typed)
    try:
        return Stock.model_validate({name: value for name, value in data.items() if value is not None})
    except ValidationError as error:
        faults = _faults(error)
        if kept is None and not any(typed[name] for name in ("size", "width", "height")):
            # Said once, beside the field that stands first.
            faults = {name: said for name, said in faults.items() if name not in ("width", "height")}
            faults["size"] = Message("typed.needed-field")
        return Filled(form.typed(), faults)


def stock_values(stock: Stock | None, person: Person) -> dict[str, str]:
    """What stands in the fields for a record, or in an empty form."""
    if stock is None:
        return {
            **dict.fromkeys(FIELDS, ""),
            "base": "unknown",
            "coated": "unknown",
            "coated_found_by": "not-checked",
            "folds": OPEN,
        }
    crease, pack = (stock.creases[0] if stock.creases else None), stock.pack
    return {
        "name": stock.name,
        "base": stock.base,
        "surface": "" if stock.surface == "unknown" else stock.surface,
        "weight_gsm": "" if stock.weight_gsm is None else f"{stock.weight_gsm:g}",
        "caliper_mm": person.typed(stock.caliper_mm),
        "coated": stock.coated,
        "coated_found_by": stock.coated_found_by,
        "width": person.typed(stock.open_size_mm[0]),
        "height": person.typed(stock.open_size_mm[1]),
        "crease_direction": crease.direction if crease else "",
        "crease_at": person.typed(crease.at_mm) if crease else "",
        "pack_count": "" if pack is None else str(pack.count),
        "pack_price": "" if pack is None or pack.price is None else str(pack.price),
        "pack_currency": "" if pack is None or pack.currency is None else pack.currency,
        "sold_for_inkjet": {True: "yes", False: "no", None: ""}[stock.sold_for_inkjet],
        "notes": stock.notes,
    }


def _creases(typed: dict[str, str], units: Units, kept: Stock | None) -> list[dict[str, Any]]:
    further = [] if kept is None else [crease.model_dump() for crease in kept.creases[1:MOST_CREASES]]
    if not typed["crease_direction"]:
        return further
    at = length_mm(typed["crease_at"], units)
    if at is None:  # nothing typed: in the middle
        edge = length_mm(typed["height" if typed["crease_direction"] == "horizontal" else "width"], units)
        at = edge / 2 if isinstance(edge, float) else None
    first = {"direction": typed["crease_direction"], **({} if at is None else {"at_mm": at})}
    return [first, *further]


def _pack(typed: dict[str, str]) -> dict[str, Any]:
    cost, currency = price(typed["pack_price"]), typed["pack_currency"].upper() or None
    if isinstance(cost, TypedPrice):
        # A dollar sign is that of several currencies: one that is named beside it holds.
        currency = currency if currency and (cost.vague or not cost.currency) else cost.currency
    given = {
        "count": whole(typed["pack_count"]),
        "price": str(cost.amount) if isinstance(cost, TypedPrice) else cost,
        "currency": currency,
    }
    return {name: value for name, value in given.items() if value is not None}


_FIELD_OF: dict[Path, str] = {
    ("open_size_mm", 0): "width",
    ("open_size_mm", 1): "height",
    ("open_size_mm",): "width",
    ("creases", 0, "at_mm"): "crease_at",
    ("creases", 0, "direction"): "crease_direction",
    ("creases",): "crease_at",
    ("pack", "count"): "pack_count",
    ("pack", "price"): "pack_price",
    ("pack", "currency"): "pack_currency",
    ("pack",): "pack_price",
}


def _faults(error: ValidationError) -> dict[str, Message]:
    faults: dict[str, Message] = {}
    for fault in field_faults(error, Stock):
        path = fault.place.path
        near = (_FIELD_OF[path[:length]] for length in range(len(path), 0, -1) if path[:length] in _FIELD_OF)
        own = str(path[0]) if path and path[0] in FIELDS else ""
        faults.setdefault(next(near, own), fault.message)
    return faults
