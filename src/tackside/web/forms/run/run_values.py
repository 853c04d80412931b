"""What stands in the fields of a run's form: of a new run, and once more rows or prices are wanted."""

from __future__ import annotations

from collections.abc import Mapping

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.web.forms.run.run_form import DAYS
from tackside.web.forms.run.run_rows import MOST_ROWS, ROWS, rows

WORKING_DAYS = DAYS[:5]


def new_values(bench: Bench) -> dict[str, str]:
    """An empty form, with the currency that a pack of one of the newest stocks has."""
    lines, _ = bench.catalogue.stocks(ListAsked(sort="newest", count=20))
    priced = (line.stock.pack for line in lines if line.stock.pack is not None)
    currency = next((pack.currency for pack in priced if pack.currency), "")
    return {"currency": currency, **{f"day-{day}": "yes" for day in WORKING_DAYS}}


def with_prices_asked(values: Mapping[str, str], bench: Bench) -> dict[str, str]:
    """The form with a row for the ink of every printer in use, and for every card whose pack has no price."""
    grown = dict(values)
    stocks, printers = _in_use(values, bench)
    _ask(grown, "ink", "printer", printers)
    unpriced = []
    for name in stocks:
        try:
            pack = bench.stocks.get(name).pack
        except NotFound:
            continue
        if pack is None or pack.price is None:
            unpriced.append(name)
    _ask(grown, "pack", "stock", unpriced)
    return grown


def rows_shown(values: Mapping[str, str], more: str = "") -> dict[str, list[int]]:
    """The rows of each list to be shown: those that something stands in, one at least, and one more where asked."""
    shown = {}
    for group in ROWS:
        filled = rows(values, group)
        wanted = filled or [1]
        if more == group and filled and filled[-1] < MOST_ROWS:
            wanted = [*wanted, filled[-1] + 1]
        shown[group] = wanted
    return shown


def _in_use(values: Mapping[str, str], bench: Bench) -> tuple[list[str], list[str]]:
    stocks: dict[str, None] = {}
    printers: dict[str, None] = {}
    for n in rows(values, "card"):
        stock, printer = (values.get(f"card-{n}-{name}", "").strip() for name in ("stock", "printer"))
        design = values.get(f"card-{n}-design", "").strip()
        if design and not (stock and printer):
            try:
                kept = bench.cards.get(design)
            except NotFound:
                continue
            stock, printer = stock or kept.stock, printer or kept.printer
        stocks |= {stock: None} if stock else {}
        printers |= {printer: None} if printer else {}
    return list(stocks), list(printers)


def _ask(values: dict[str, str], group: str, key: str, names: list[str]) -> None:
    there = rows(values, group)
    known = {values.get(f"{group}-{n}-{key}", "") for n in there}
    free = (n for n in range(1, MOST_ROWS + 1) if n not in there)
    for name in names:
        if name not in known:
            values[f"{group}-{next(free)}-{key}"] = name
