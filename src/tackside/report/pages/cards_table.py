"""The cards side by side as one buys them: price, fit on the printer, coated sides, verdict, chief figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.errors import DoesNotFit
from tackside.fit.fit_stock import fit_stock
from tackside.records import Measure
from tackside.records.money import price_a_sheet
from tackside.report.entry import Entry
from tackside.report.facts import NOT_NOTED
from tackside.report.figures import ABSENT, figure
from tackside.report.ranking import Ranked
from tackside.report.words import COATED_SAYS

HEADINGS = (
    "Card", "Verdict", "Price a card", "Coated", "Feed", "To the edge", "Black, L*", "Deepest black",
    "Colours, thousands",
)  # fmt: skip


@dataclass(frozen=True)
class CardColumn:
    """One card; ``cells`` follow ``HEADINGS`` without the first two."""

    anchor: str
    label: str
    grade: str
    cells: tuple[str, ...]


def card_rows(ranked: Sequence[Ranked], anchors: dict[str, str]) -> tuple[CardColumn, ...]:
    """A row for each, in the order of the ranking. A sheet makes one card."""
    return tuple(
        CardColumn(anchors[one.entry.trial.id], one.label, one.entry.verdict.grade, _cells(one.entry))
        for one in ranked
    )


def _cells(entry: Entry) -> tuple[str, ...]:
    feed, borderless = feeding(entry)
    measures = entry.verdict.measures
    return (
        str(price_a_sheet(entry.stock.pack) or NOT_NOTED),
        COATED_SAYS[entry.stock.coated],
        feed,
        borderless,
        _said(measures.get("black_l")),
        _said(measures.get("dmax")),
        _said(measures.get("gamut_volume"), 1000),
    )


def feeding(entry: Entry) -> tuple[str, str]:
    """The feed that takes the open sheet, and whether it prints to the edge."""
    try:
        fit = fit_stock(entry.stock, entry.printer)
    except DoesNotFit:
        return "takes it nowhere", "no"
    return fit.feed or "takes it nowhere", "yes" if fit.borderless else "no"


def _said(measure: Measure | None, divisor: float = 1) -> str:
    if measure is None or isinstance(measure.value, tuple):
        return ABSENT
    sd = None if measure.sd is None else measure.sd / divisor
    value, plus_minus = figure(measure.value / divisor, sd)
    return f"{value} ± {plus_minus}" if plus_minus else value
