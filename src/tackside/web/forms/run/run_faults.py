"""What is wrong with a run that was typed, and which field it is shown beside."""

from __future__ import annotations

from collections.abc import Mapping

from tackside.errors import TacksideError
from tackside.files.record_faults import FieldFault, Path
from tackside.messages.message import Message
from tackside.web.forms.run.run_rows import rows

# Shares of one, which the form asks for in per cent.
SHARES: tuple[Path, ...] = (("waste", "spoiled_share"), ("pricing", "profit"), ("pricing", "tax"))
_SHARE_CODES = {
    "record.below": "form.share-below",
    "record.above": "form.share-above",
}
# A place of the run's record that names a printer or a card → the list of the form, what its rows go by, the field.
_NAMED = {
    ("stock_prices", "price"): ("pack", "stock", "price"),
    ("stock_prices", "currency"): ("pack", "stock", "price"),
    ("stock_prices",): ("pack", "stock", "price"),
    ("inks", "price"): ("ink", "printer", "price"),
    ("inks", "currency"): ("ink", "printer", "price"),
    ("inks",): ("ink", "printer", "price"),
    ("cards", "printer"): ("card", "name", "printer"),
    ("cards", "label"): ("card", "name", "label"),
}
# Fields that stand alone.
_ALONE: dict[Path, str] = {("currency",): "currency", ("calendar", "print_minutes"): "print_minutes"}


def unnamed(values: Mapping[str, str]) -> dict[str, Message]:
    """Prices that stand for no printer or card stock, or for one that has another price already."""
    faults: dict[str, Message] = {}
    for group, key in (("ink", "printer"), ("pack", "stock"), ("machine", "printer")):
        seen: set[str] = set()
        for n in rows(values, group):
            name = values.get(f"{group}-{n}-{key}", "").strip()
            if not name:
                faults[f"{group}-{n}-{key}"] = Message(f"form.price-of-no-{key}")
            elif name in seen:
                faults[f"{group}-{n}-{key}"] = Message("form.price-above-already", name=name)
            seen.add(name)
    return faults


def as_typed(fault: FieldFault) -> Message:
    """The fault of a share in per cent, as it was typed; any other as it is."""
    code, values = _SHARE_CODES.get(fault.message.code), fault.message.values
    if code is None or fault.place.path not in SHARES:
        return fault.message
    given, limit = (round(100 * float(values[name]), 10) for name in ("given", "limit"))  # type: ignore[arg-type]
    return Message(code, field=fault.place, given=given, limit=limit)


def beside(error: TacksideError, values: Mapping[str, str]) -> dict[str, Message]:
    """A refusal of the plan, by the field that its place names; else above the form."""
    path = () if error.place is None else error.place.path
    if path in _ALONE:
        return {_ALONE[path]: error.message}
    if len(path) > 1:
        group, key, shown = _NAMED.get((path[0], *path[2:]), ("", "", ""))  # type: ignore[arg-type]
        for at, n in enumerate(rows(values, group) if group else ()):
            if path[1] in (values.get(f"{group}-{n}-{key}", "").strip(), at):
                return {f"{group}-{n}-{shown}": error.message}
    return {"": error.message}


def field_of(fields: Mapping[Path, str], path: Path) -> str:
    """The field that a fault is shown beside: the one that its place comes from, or the nearest around it."""
    return next((fields[path[:length]] for length in range(len(path), 0, -1) if path[:length] in fields), "")
