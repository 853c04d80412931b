"""The lists in a run's form: which there are, and which of their rows something was typed in."""

from __future__ import annotations

import re
from collections.abc import Mapping

MOST_ROWS = 60
# The lists of a run, and the fields of one row of each.
ROWS: dict[str, tuple[str, ...]] = {
    "card": (
        "name", "design", "stock", "printer", "ink_ml", "quantity", "setting", "faces", "per_sheet", "label",
        "list", "list_name",
    ),
    "ink": ("printer", "ml", "price"),
    "pack": ("stock", "on_hand", "count", "price"),
    "machine": ("printer", "price", "sheets"),
    "extra": ("name", "price", "per"),
    "instead": ("stock",),
}  # fmt: skip


def rows(values: Mapping[str, str], group: str) -> list[int]:
    """The numbers of a list's rows that something was typed in."""
    typed = (
        re.fullmatch(rf"{group}-(\d{{1,3}})-(\w+)", name) for name, value in values.items() if value.strip()
    )
    found = {
        int(each[1])
        for each in typed
        if each and each[2] in ROWS[group] and each[2] not in ("per", "setting")
    }
    return sorted(each for each in found if 0 < each <= MOST_ROWS)
