"""The usual slips are seen, and what packs and printers really have is not taken for one."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from tackside.fit.sizes.format_tables import SHEETS
from tackside.records import Printer, Stock
from tackside.typed.doubts import doubts_of_printer, doubts_of_stock, opened
from tackside.typed.length import size_mm

DATA = Path(__file__).parents[2] / "src" / "tackside" / "cli" / "demo" / "data"


def codes(**fields: Any) -> list[str]:
    stock = Stock.model_validate({"name": "Fulmar", "open_size_mm": (210, 297), **fields})
    return [each.message.code for each in doubts_of_stock(stock)]


HALF = [{"direction": "horizontal", "at_mm": 148.5}]


@pytest.mark.parametrize(
    ("size", "code"),
    [
        ((14.8, 21.0), "typed.size-in-cm"),
        ((21.0, 29.7), "typed.size-in-cm"),
        ((5.83, 8.27), "typed.size-in-inches"),
        ((8.5, 11), "typed.size-in-inches"),
        ((12, 18), "typed.size-in-another-unit"),
        ((210, 29.7), "typed.one-edge-small"),
        ((148, 210), "typed.folded-size"),
        ((127, 177.8), "typed.folded-size"),
    ],
)
def test_a_size_in_another_unit_or_folded_is_doubted(size: tuple[float, float], code: str) -> None:
    assert codes(open_size_mm=size) == [code]


def test_what_was_meant_is_told() -> None:
    stock = Stock(name="Fulmar", open_size_mm=(5.83, 8.27))
    (doubt,) = doubts_of_stock(stock)
    assert doubt.message.value("meant_mm") == pytest.approx((148.082, 210.058))
    assert doubt.place.path == ("open_size_mm",)


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"weight_gsm": 3}, "typed.odd-weight"),
        ({"caliper_mm": 0.012}, "typed.odd-caliper"),
        ({"caliper_mm": 3.2}, "typed.odd-caliper"),
        ({"weight_gsm": 300, "caliper_mm": 0.1}, "typed.caliper-beside-weight"),
        ({"creases": [{"direction": "horizontal", "at_mm": 14.85}]}, "typed.crease-near-edge"),
    ],
)
def test_other_slips(fields: dict[str, Any], code: str) -> None:
    assert codes(**{"creases": HALF, **fields}) == [code]


def test_the_demos_stocks_and_printer_raise_no_doubt() -> None:
    for file in DATA.glob("*.toml"):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        if "open_size_mm" in data:
            assert doubts_of_stock(Stock.model_validate(data)) == (), file.name
        elif "feeds" in data:
            assert doubts_of_printer(Printer.model_validate(data)) == (), file.name


@pytest.mark.parametrize(
    "sheet", [each for each in SHEETS if each.short_mm >= 90], ids=lambda each: each.name
)
def test_a_sheet_that_folds_in_half_raises_none(sheet: Any) -> None:
    middle = [{"direction": "horizontal", "at_mm": sheet.long_mm / 2}]
    assert codes(open_size_mm=(sheet.short_mm, sheet.long_mm), creases=middle) == []


# ISO 216: a sheet folded in half is the next smaller one.
@pytest.mark.parametrize(("folded", "sheet"), [("A5", "A4"), ("A6", "A5"), ("A7", "A6"), ("A4", "A3")])
def test_a_folded_iso_size_opens_to_the_next_larger_sheet(folded: str, sheet: str) -> None:
    given = size_mm(folded)
    assert given is not None
    assert opened(given) == size_mm(sheet)


def test_a_printers_sizes_in_inches_are_doubted() -> None:
    feed = {"name": "rear", "min_size_mm": (3.5, 5), "max_size_mm": (13, 19), "margins_mm": {"top": 40}}
    found = doubts_of_printer(Printer.model_validate({"name": "Tern", "feeds": [feed]}))
    assert [each.message.code for each in found] == ["typed.size-in-inches", "typed.wide-margin"]
