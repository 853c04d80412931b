"""What is wrong with a run that was typed, and which field it is shown beside."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tackside.errors import TacksideError
from tackside.files.record_faults import Place
from tackside.web.forms.run.run_rows import rows


def unnamed(values: Mapping[str, str]) -> dict[str, str]:
    """Prices that stand for no printer or card stock, or for one that has another price already."""
    faults: dict[str, str] = {}
    for group, key, what in (
        ("ink", "printer", "printer"),
        ("pack", "stock", "card"),
        ("machine", "printer", "printer"),
    ):
        seen: set[str] = set()
        for n in rows(values, group):
            name = values.get(f"{group}-{n}-{key}", "").strip()
            if not name:
                faults[f"{group}-{n}-{key}"] = f"it is not said of which {what} this is the price; choose one"
            elif name in seen:
                faults[f"{group}-{n}-{key}"] = f"{name} has a price above already; leave one of them out"
            seen.add(name)
    return faults


def beside(error: TacksideError, values: Mapping[str, str]) -> dict[str, str]:
    """A refusal of the plan, by the field whose words it names; else above the form."""
    if "currency code" in error.what:
        return {"currency": str(error)}
    names = (
        ("pack price", "pack", "stock", "price"),
        ("is priced in", "pack", "stock", "price"),
        ("what ink for", "ink", "printer", "price"),
        ("cannot be fed", "card", "printer", "printer"),
        ("the label of", "card", "name", "label"),
    )
    for words, group, key, shown in names:
        if words in error.what:
            for n in rows(values, group):
                if values.get(f"{group}-{n}-{key}", "").strip() in error.what:
                    return {f"{group}-{n}-{shown}": str(error)}
    return {"": str(error)}


def field_of(fields: Mapping[Place, str], values: Mapping[str, str], place: Place, what: str) -> str:
    """The field that a fault is shown beside: the nearest one to its place, or the one that its words name."""
    if place[:1] == ("cards",) and len(place) == 2:
        row = fields[place].removesuffix("quantity")
        return f"{row}ink_ml" if "ink_ml" in what else f"{row}quantity"
    if place in (("calendar",), ("labels",)):
        return "to_time" if place == ("calendar",) else "label_columns"
    twice = re.search(r"two cards are called (.+), give each", what)
    same = [n for n in rows(values, "card") if twice and values.get(f"card-{n}-name", "").strip() == twice[1]]
    if same:
        return f"card-{same[-1]}-name"
    for length in range(len(place), 0, -1):
        if place[:length] in fields:
            return fields[place[:length]]
    for group, key, words in (("ink", "printer", "the ink of"), ("pack", "stock", "the pack of")):
        for n in rows(values, group):
            if f"{words} {values.get(f'{group}-{n}-{key}', '').strip()}:" in what:
                return f"{group}-{n}-price"
    for named in ("envelopes", "sleeves"):
        if what.startswith(named):
            return f"{named}-price"
    return ""
