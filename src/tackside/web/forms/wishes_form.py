"""The form of what a card must be: for which printer, how large, how dear, how many at hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tackside.messages.message import Message
from tackside.messages.wording import Units
from tackside.web.forms.numbers import length_mm, number, whole
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled

LARGEST = 10_000


def wishes_from(form: Form, units: Units) -> dict[str, Any] | Filled:
    """What was wished for as the job takes it, or the form to be shown again."""
    faults: dict[str, Message] = {}
    sides = [length_mm(form.get(name), units) for name in ("width", "height")]
    for name, side, other in zip(("width", "height"), sides, reversed(sides), strict=True):
        if isinstance(side, str) or (isinstance(side, float) and not 0 < side <= LARGEST):
            faults[name] = Message("form.no-length", given=form.get(name))
        elif side is None and other is not None:
            faults[name] = Message("form.one-side-alone")
    price = number(form.get("max_price"))
    if isinstance(price, str) or (price is not None and not 0 <= price <= LARGEST):
        faults["max_price"] = Message("form.no-price", given=form.get("max_price"))
    count = whole(form.get("on_hand"))
    if isinstance(count, str) or (count is not None and not 0 <= count <= LARGEST):
        faults["on_hand"] = Message("form.no-count-of-sheets", given=form.get("on_hand"))
    if faults:
        return Filled(form.typed(), faults)
    return {
        "printer": form.get("printer") or None,
        "size_mm": sides if sides[0] is not None else None,
        "max_price": None if price is None else str(Decimal(str(price))),
        "on_hand": count,
    }
