"""The form of a printer: its feeds as rows, the first filled in with what most machines have."""

from __future__ import annotations

import re
from typing import Any

from pydantic import ValidationError

from tackside.files.record_faults import Path, field_faults
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.messages.wording import Units
from tackside.records import Printer
from tackside.typed.length import size_mm
from tackside.web.forms.numbers import caliper_mm, length_mm, number, weight, whole
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled
from tackside.web.i18n.preferences import Person

MOST_FEEDS = 6
TOP = ("name", "ink_kind", "ink_count", "grid_ppi", "media_settings", "notes")
LENGTHS = ("min_w", "min_h", "max_w", "max_h", "caliper", "top", "bottom", "left", "right", "enlargement")
FEED = ("name", *LENGTHS, "weight", "borderless")
FIELDS = (*TOP, *(f"feed{n}_{name}" for n in range(2) for name in FEED))


def printer_from(form: Form, person: Person) -> Printer | Filled:
    """The printer that was typed, or the form to be shown again with each fault beside its field."""
    units: Units = "in" if form.get("units", person.units) == "in" else "mm"
    numbers = [n for n in range(MOST_FEEDS) if any(form.get(f"feed{n}_{name}") for name in FEED)]
    data: dict[str, Any] = {
        "name": form.get("name"),
        "inks": _known({"kind": form.get("ink_kind") or None, "count": whole(form.get("ink_count"))}),
        "grid_ppi": number(form.get("grid_ppi")),
        "feeds": [_feed(form, n, units) for n in numbers],
        "media_settings": [line.strip() for line in form.get("media_settings").splitlines() if line.strip()],
        "notes": form.get("notes").replace("\r\n", "\n"),
    }
    try:
        return Printer.model_validate(_known(data))
    except ValidationError as error:
        return Filled(form.typed(), _faults(error, numbers))


def printer_values(printer: Printer | None, person: Person) -> dict[str, str]:
    """What stands in the fields for a record, or in an empty form: 600 ppi, one feed."""
    if printer is None:
        return {**dict.fromkeys(TOP, ""), "ink_kind": "unknown", "grid_ppi": "600", "feed0_name": "rear"}
    values = {
        "name": printer.name,
        "ink_kind": printer.inks.kind,
        "ink_count": "" if printer.inks.count is None else str(printer.inks.count),
        "grid_ppi": f"{printer.grid_ppi:g}",
        "media_settings": "\n".join(printer.media_settings),
        "notes": printer.notes,
    }
    for n, feed in enumerate(printer.feeds[:MOST_FEEDS]):
        margins = feed.margins_mm
        lengths = {
            "min_w": feed.min_size_mm[0], "min_h": feed.min_size_mm[1],
            "max_w": feed.max_size_mm[0], "max_h": feed.max_size_mm[1],
            "caliper": feed.max_caliper_mm, "enlargement": feed.borderless_enlargement_mm,
            "top": margins and margins.top, "bottom": margins and margins.bottom,
            "left": margins and margins.left, "right": margins and margins.right,
        }  # fmt: skip
        values |= {f"feed{n}_{name}": person.typed(length) for name, length in lengths.items()}  # type: ignore[arg-type]
        values[f"feed{n}_name"] = feed.name
        values[f"feed{n}_weight"] = "" if feed.max_weight_gsm is None else f"{feed.max_weight_gsm:g}"
        values[f"feed{n}_borderless"] = "\n".join(
            f"{person.typed(w)} x {person.typed(h)}" for w, h in feed.borderless_sizes_mm
        )
    return values


def _feed(form: Form, n: int, units: Units) -> dict[str, Any]:
    mm = {name: length_mm(form.get(f"feed{n}_{name}"), units) for name in LENGTHS if name != "caliper"}
    margins = _known({name: mm[name] for name in ("top", "bottom", "left", "right")})
    return _known(
        {
            "name": form.get(f"feed{n}_name"),
            "min_size_mm": [mm["min_w"], mm["min_h"]],
            "max_size_mm": [mm["max_w"], mm["max_h"]],
            "max_caliper_mm": caliper_mm(form.get(f"feed{n}_caliper"), units),
            "max_weight_gsm": weight(form.get(f"feed{n}_weight")),
            "margins_mm": margins or None,
            "borderless_sizes_mm": [
                _size(line, units) for line in form.get(f"feed{n}_borderless").splitlines() if line.strip()
            ],
            "borderless_enlargement_mm": mm["enlargement"],
        }
    )


def _size(line: str, units: Units) -> list[float | str | None] | str:
    """``210 x 297``, ``A4``, ``10 x 15 cm`` as a size; else as it was typed, for the record's check to refuse."""
    if (found := size_mm(line, units)) is not None:
        return [*found]
    parts = re.split(r"\s*[x×*]\s*", line.strip())
    if len(parts) != 2:
        return line.strip()
    return [length_mm(part, units) for part in parts]


def _known(data: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in data.items() if value is not None}


_FEED_FIELD: dict[Path, str] = {
    ("min_size_mm", 0): "min_w", ("min_size_mm", 1): "min_h", ("max_size_mm", 0): "max_w", ("max_size_mm", 1): "max_h",
    ("max_caliper_mm",): "caliper", ("max_weight_gsm",): "weight", ("borderless_enlargement_mm",): "enlargement",
    ("margins_mm", "top"): "top", ("margins_mm", "bottom"): "bottom", ("margins_mm", "left"): "left",
    ("margins_mm", "right"): "right", ("name",): "name",
}  # fmt: skip
_TOP_FIELD = {"name": "name", "grid_ppi": "grid_ppi", "media_settings": "media_settings", "notes": "notes"}


def _faults(error: ValidationError, numbers: list[int]) -> dict[str, Message]:
    """Faults by field. ``numbers`` are the rows of the form that the record's feeds come from."""
    faults: dict[str, Message] = {}
    for fault in field_faults(error, Printer):
        path = fault.place.path
        if len(path) >= 2 and path[0] == "feeds" and isinstance(path[1], int):
            path = ("feeds", numbers[path[1]], *path[2:])
        faults.setdefault(_field(path), fault.message.with_values(field=Place("printer", path)))
    return faults


def _field(path: Path) -> str:
    if len(path) >= 2 and path[0] == "feeds":
        rest = path[2:]
        name = "borderless" if rest[:1] == ("borderless_sizes_mm",) else _FEED_FIELD.get(rest, "name")
        return f"feed{path[1]}_{name}"
    if path[:1] == ("inks",):
        return "ink_count" if path[-1] == "count" else "ink_kind"
    if path[:1] == ("feeds",):
        return "feed0_name"
    return _TOP_FIELD.get(str(path[0]), "") if path else ""
