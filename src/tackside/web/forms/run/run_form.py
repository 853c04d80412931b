"""The form of a run: from what was typed to the run's record, with each fault beside the field that it comes from."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from tackside.files.record_faults import Path, field_faults
from tackside.messages.wording import Units
from tackside.run.plan.run_file import Run
from tackside.web.forms.numbers import length_mm, number, whole
from tackside.web.forms.run.run_faults import as_typed, field_of, unnamed
from tackside.web.forms.run.run_rows import rows
from tackside.web.forms.stock_form import Filled
from tackside.workflow.runs.asked import RunAsked

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_THOUSANDS = r"\d{1,3}(,\d{3})+"  # 1,000 may be one or a thousand; it is refused rather than guessed


@dataclass
class _Data:
    """The record's data as it grows, and which field each place of it came from."""

    values: Mapping[str, str]
    units: Units
    data: dict[str, Any] = field(default_factory=dict)
    fields: dict[Path, str] = field(default_factory=dict)

    def put(self, place: Path, name: str, value: Any) -> None:
        """Where nothing was typed, the record takes what it takes anyway."""
        self.fields[place] = name
        if value is None:
            return
        holder: Any = self.data
        for part in place[:-1]:
            holder = holder.setdefault(part, {})
        holder[place[-1]] = value

    def text(self, place: Path, name: str) -> None:
        self.put(place, name, self.values.get(name, "").strip() or None)

    def money(self, place: Path, name: str) -> None:
        typed = self.values.get(name, "").strip()
        self.put(place, name, (typed if re.fullmatch(_THOUSANDS, typed) else typed.replace(",", ".")) or None)

    def number(self, place: Path, name: str) -> None:
        self.put(place, name, number(self.values.get(name, "")))

    def whole(self, place: Path, name: str) -> None:
        self.put(place, name, whole(self.values.get(name, "")))

    def share(self, place: Path, name: str) -> None:
        typed = number(self.values.get(name, ""))
        self.put(place, name, round(typed / 100, 12) if isinstance(typed, float) else typed)

    def lengths(self, place: Path, names: tuple[str, str]) -> None:
        """Two lengths that stand together, or nothing where neither was typed."""
        found = [length_mm(self.values.get(name, ""), self.units) for name in names]
        for axis, name in enumerate(names):
            self.fields[(*place, axis)] = name
        self.put(
            place,
            names[0],
            None if found == [None, None] else ["" if each is None else each for each in found],
        )


def run_from(values: Mapping[str, str], units: Units) -> RunAsked | Filled:
    """The run that was typed, or the form to be shown again with what is wrong."""
    made = _Data(values, units)
    made.text(("name",), "name")
    made.put(("currency",), "currency", values.get("currency", "").strip().upper() or None)
    designs, lists = _cards(made)
    _prices(made)
    _work(made)
    _price_rule(made)
    _calendar(made)
    _labels(made)
    made.put(
        ("instead",),
        "instead-1-stock",
        [values[f"instead-{n}-stock"].strip() for n in rows(values, "instead")],
    )
    faults = unnamed(values)
    try:
        run = Run.model_validate(made.data)
        return Filled(dict(values), faults) if faults else RunAsked(run, designs, lists)
    except ValidationError as error:
        for fault in field_faults(error, Run):
            # Rows without a name are told by ``unnamed``; the currency is typed once, and told there.
            if "[key]" not in fault.place.path and fault.place.path[1:][-1:] != ("currency",):
                faults.setdefault(field_of(made.fields, fault.place.path), as_typed(fault))
        return Filled(dict(values), faults)


def _cards(made: _Data) -> tuple[dict[str, str], dict[str, tuple[str, str]]]:
    designs: dict[str, str] = {}
    lists: dict[str, tuple[str, str]] = {}
    cards: dict[int, Any] = {}
    for at, n in enumerate(rows(made.values, "card")):
        one, here = _Data(made.values, made.units), f"card-{n}-"
        one.text(("name",), f"{here}name")
        one.whole(("quantity",), f"{here}quantity")
        design = made.values.get(f"{here}design", "").strip()
        one.put(("file",), f"{here}design", f"design-{n}.toml" if design else None)
        if design:
            designs[f"design-{n}.toml"] = design
        kept = made.values.get(f"{here}list", "").strip()
        one.put(("recipients",), f"{here}quantity", f"list-{n}.csv" if kept else None)
        if kept:
            lists[f"list-{n}.csv"] = (
                kept,
                made.values.get(f"{here}list_name", "").strip() or f"list-{n}.csv",
            )
        for name in ("stock", "printer", "setting", "label"):
            one.text((name,), f"{here}{name}")
        one.number(("ink_ml",), f"{here}ink_ml")
        one.whole(("faces",), f"{here}faces")
        one.whole(("cards_per_sheet",), f"{here}per_sheet")
        cards[at] = one.data
        made.fields.update({("cards", at, *place): name for place, name in one.fields.items()})
        made.fields[("cards", at)] = f"{here}quantity"
    made.put(("cards",), "card-1-name", list(cards.values()))
    return designs, lists


def _prices(made: _Data) -> None:
    values, currency = made.values, made.data.get("currency", "")
    for n in rows(values, "ink"):
        place = ("inks", values.get(f"ink-{n}-printer", "").strip())
        made.number((*place, "ml"), f"ink-{n}-ml")
        made.money((*place, "price"), f"ink-{n}-price")
        made.put((*place, "currency"), f"ink-{n}-price", currency)
    for n in rows(values, "pack"):
        stock = values.get(f"pack-{n}-stock", "").strip()
        made.whole(("on_hand", stock), f"pack-{n}-on_hand")
        _pack(made, ("stock_prices", stock), f"pack-{n}-", currency)
    for what in ("envelopes", "sleeves"):
        _pack(made, (what,), f"{what}-", currency)


def _pack(made: _Data, place: Path, prefix: str, currency: str) -> None:
    if (
        not made.values.get(f"{prefix}count", "").strip()
        and not made.values.get(f"{prefix}price", "").strip()
    ):
        return
    made.fields[place] = f"{prefix}price"
    made.whole((*place, "count"), f"{prefix}count")
    made.money((*place, "price"), f"{prefix}price")
    made.put((*place, "currency"), f"{prefix}price", currency)


def _work(made: _Data) -> None:
    values = made.values
    if any(
        values.get(name, "").strip()
        for name in ("rate", "setup_minutes", "minutes_per_sheet", "minutes_per_card")
    ):
        made.money(("labour", "rate"), "rate")
        for name in ("setup_minutes", "minutes_per_sheet", "minutes_per_card"):
            made.number(("labour", name), name)
    for n in rows(values, "machine"):
        place = ("equipment", values.get(f"machine-{n}-printer", "").strip())
        made.money((*place, "price"), f"machine-{n}-price")
        made.whole((*place, "lifetime_sheets"), f"machine-{n}-sheets")
    if any(values.get(f"postage-{name}", "").strip() for name in ("service", "price", "dated")):
        for name in ("service", "dated", "country"):
            made.text(("postage", name), f"postage-{name}")
        made.money(("postage", "price"), "postage-price")
    extras = []
    for at, n in enumerate(rows(values, "extra")):
        one = _Data(values, made.units)
        one.text(("name",), f"extra-{n}-name")
        one.money(("price",), f"extra-{n}-price")
        one.text(("per",), f"extra-{n}-per")
        extras.append(one.data)
        made.fields.update({("extras", at, *place): name for place, name in one.fields.items()})
    made.put(("extras",), "extra-1-name", extras)
    made.share(("waste", "spoiled_share"), "spoiled_share")
    made.whole(("waste", "setup_sheets"), "setup_sheets")


def _price_rule(made: _Data) -> None:
    made.share(("pricing", "profit"), "profit")
    made.number(("pricing", "retail_factor"), "retail_factor")
    made.share(("pricing", "tax"), "tax")
    made.money(("pricing", "step"), "step")


def _calendar(made: _Data) -> None:
    values = made.values
    if not values.get("start", "").strip():
        return
    for name in ("start", "from_time", "to_time"):
        made.text(("calendar", name), name)
    made.put(("calendar", "days"), "day-mon", [day for day in DAYS if values.get(f"day-{day}")])
    for name in ("print_minutes", "touch_dry_minutes", "sleeve_after_hours"):
        made.number(("calendar", name), name)
    made.whole(("calendar", "drying_places"), "drying_places")


def _labels(made: _Data) -> None:
    made.lengths(("labels", "page_mm"), ("label_page_width", "label_page_height"))
    made.lengths(("labels", "size_mm"), ("label_width", "label_height"))
    made.lengths(("labels", "margin_mm"), ("label_left", "label_top"))
    made.lengths(("labels", "pitch_mm"), ("label_across", "label_down"))
    for name in ("columns", "rows"):
        made.whole(("labels", name), f"label_{name}")
