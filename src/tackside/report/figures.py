"""Figures as a table shows them: rounded to what the uncertainty bears, with their unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tackside.records import Attribute, Measure
from tackside.report.labels import MAIN_MEASURES, MEASURES, UNIT_IN_LABEL, measure_label
from tackside.report.published import published
from tackside.report.ranking import Ranked

ABSENT = "not measured"
COLUMNS_A_TABLE = 5  # what a sheet of A4 takes
SHARES = ("share", "device")
# Lengths to what a scan can tell, as decimals of their unit: an edge is found to about a twentieth of a pixel, 4 µm at
# 300 ppi (this project's own estimate), and a place on the sheet to a hundredth of a millimetre.
FINEST = {"µm": 0, "mm": 2}


@dataclass(frozen=True)
class FigureCell:
    """One figure: value and uncertainty as text, and the method where methods differ."""

    value: str
    plus_minus: str = ""
    method: str = ""


@dataclass(frozen=True)
class FigureRow:
    label: str
    unit: str
    cells: tuple[FigureCell, ...]


@dataclass(frozen=True)
class FigureTable:
    """Some columns of a comparison: as many as fit a sheet of A4."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[FigureRow, ...]


def measure_tables(ranked: Sequence[Ranked]) -> tuple[FigureTable, ...]:
    """The verdicts' measures side by side: those that decide most, then the rest."""
    figures = [r.entry.verdict.measures for r in ranked]
    main = [{name: one for name, one in found.items() if name in MAIN_MEASURES} for found in figures]
    rest = [{name: one for name, one in found.items() if name not in MAIN_MEASURES} for found in figures]
    order = list(MEASURES)
    return (*_tables(ranked, "Main measures", main, order), *_tables(ranked, "Further measures", rest, order))


def attribute_tables(ranked: Sequence[Ranked]) -> tuple[FigureTable, ...]:
    """The readings' print-quality attributes side by side; none where no reading has any."""
    return _tables(ranked, "Print quality", [r.entry.reading.attributes for r in ranked], [])


def figure(value: float, sd: float | None, unit: str | None = None) -> tuple[str, str]:
    """Value and uncertainty, both to the place of the uncertainty's leading digit (two digits where it is a
    1).

    A length has no more places than ``FINEST`` allows, and no uncertainty below them.
    Without an uncertainty a count is a whole number and any other value has three digits. At most three
    decimals.
    """
    if not sd and value == int(value) and abs(value) < 1000:
        return _said(value, 0), ""
    places = _places(sd, 1) if sd is not None and sd > 0 else _places(abs(value), 3)
    places = min(places, FINEST.get(unit or "", places))
    # What three decimals cannot show is said as the least that they can.
    return _said(value, places), _said(max(sd, 10.0**-places), places) if sd else ""


def _places(size: float, digits: int) -> int:
    """Decimals that show so many digits of a figure of this size; negative for tens, hundreds and so on."""
    if size <= 0:
        return 1
    exponent = math.floor(math.log10(size))
    if digits == 1 and size / 10**exponent < 2:
        digits = 2
    return min(3, digits - 1 - exponent)


def _said(value: float, places: int) -> str:
    text = f"{round(value, places):,.{max(places, 0)}f}".replace(",", "\u202f").replace("-", "\u2212")
    return text.removeprefix("\u2212") if round(value, places) == 0 else text


def _tables(
    ranked: Sequence[Ranked],
    caption: str,
    figures: Sequence[dict[str, Measure] | dict[str, Attribute]],
    order: list[str],
) -> tuple[FigureTable, ...]:
    names = list(dict.fromkeys(name for found in figures for name in found))
    names.sort(key=lambda name: order.index(name) if name in order else len(order))
    if not names:
        return ()
    tables = []
    tables_needed = -(-len(ranked) // COLUMNS_A_TABLE)
    columns = -(-len(ranked) // tables_needed)  # spread evenly: six are three and three
    for start in range(0, len(ranked), columns):
        part = slice(start, start + columns)
        rows = tuple(_row(name, figures[part]) for name in names)
        tables.append(FigureTable(caption, tuple(r.label for r in ranked[part]), rows))
    return tuple(tables)


def _row(name: str, figures: Sequence[dict[str, Measure] | dict[str, Attribute]]) -> FigureRow:
    found = [_in_percent(column.get(name)) for column in figures]
    units = list(dict.fromkeys(one.unit for one in found if one is not None and one.unit))
    methods = {getattr(one, "method", None) for one in found if one is not None}
    cells = tuple(_cell(one, say_method=len(methods) > 1) for one in found)
    shown = [unit for unit in units if unit not in ("CIELAB", "1") and name not in UNIT_IN_LABEL]
    return FigureRow(published(measure_label(name)), " / ".join(shown), cells)


def _in_percent(one: Measure | Attribute | None) -> Measure | Attribute | None:
    """Shares and device values, 0 to 1, as people read them."""
    if one is None or one.unit not in SHARES or isinstance(one.value, tuple):
        return one
    sd = None if one.sd is None else 100 * one.sd
    return one.model_copy(update={"value": 100 * one.value, "sd": sd, "unit": "%"})


def _cell(one: Measure | Attribute | None, *, say_method: bool) -> FigureCell:
    if one is None:
        return FigureCell(ABSENT)
    method = (getattr(one, "method", None) or "") if say_method else ""
    if isinstance(one.value, tuple):
        parts = [figure(part, one.sd, one.unit) for part in one.value]
        return FigureCell(" \u00a0".join(value for value, _ in parts), parts[0][1], method)
    return FigureCell(*figure(one.value, one.sd, one.unit), method)
