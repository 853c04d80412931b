"""A site of all stocks as plain files: an index, a page for each stock, one style sheet, and the data beside them.

It needs no server and no script: any place that serves files will do, and so will a folder.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from tackside import __version__
from tackside.records import GRADES, Stock
from tackside.records.money import price_a_sheet
from tackside.report import facts
from tackside.report.data import figures_csv, patches_csv, plain_name
from tackside.report.entry import Entry
from tackside.report.facts import NOT_NOTED
from tackside.report.pages.cards_table import HEADINGS, CardColumn, card_rows
from tackside.report.pages.page import environment, render_report, style_sheet
from tackside.report.pages.views import Extras
from tackside.report.plots.wedge import wedge
from tackside.report.ranking import Ranked, groups_of, labels_of
from tackside.report.words import CAUTIONS, COATED_SAYS, GRADE_MEANS

STYLE = "style.css"
NOT_TRIED = "not tried yet"
Columns = tuple[str, ...]


@dataclass(frozen=True)
class CatalogueLine:
    """A stock in the index: its page where it was tried, its best verdict, its chief facts."""

    name: str
    page: str | None
    grade: str
    trials: int
    facts: Columns


@dataclass(frozen=True)
class CatalogueView:
    title: str
    date: str
    headings: Columns
    lines: tuple[CatalogueLine, ...]
    grades: tuple[tuple[str, str, Markup], ...]
    cautions: Columns
    licence: str | None
    version: str


def catalogue(
    stocks: Sequence[Stock],
    entries: Sequence[Entry],
    *,
    made_at: datetime,
    title: str | None = None,
    extras: Extras | None = None,
) -> dict[str, bytes]:
    """The files of the site by name. Stocks that were never judged stand in the index without a page."""
    more = extras or Extras()
    by_stock: dict[str, list[Entry]] = {stock.name: [] for stock in stocks}
    for entry in entries:
        by_stock.setdefault(entry.trial.stock, []).append(entry)
    pages = {name: page_name(name) for name, tried in by_stock.items() if tried}
    made: dict[str, bytes] = {STYLE: str(style_sheet()).encode("utf-8")}
    for name, page in pages.items():
        text = render_report(by_stock[name], title=name, made_at=made_at, extras=more, style_href=STYLE)
        made[page] = text.encode("utf-8")
    lines = [_line(stock, by_stock[stock.name], pages.get(stock.name)) for stock in stocks]
    lines.sort(key=lambda line: (_rank(line.grade), line.name.casefold()))
    view = CatalogueView(
        title=title or "Cards that were tried",
        date=facts.day(made_at),
        headings=("Card", "Best verdict", "Trials", *INDEX_HEADINGS),
        lines=tuple(lines),
        grades=tuple((grade, GRADE_MEANS[grade], Markup(wedge(grade))) for grade in GRADES),
        cautions=CAUTIONS,
        licence=more.licence,
        version=__version__,
    )
    made["index.html"] = (
        environment().get_template("catalogue.html.j2").render(page=view, style_href=STYLE).encode()
    )
    if more.data:
        labels = labels_of(entries)
        made |= {"figures.csv": figures_csv(entries, labels), "patches.csv": patches_csv(entries, labels)}
    return made


def page_name(stock: str) -> str:
    """The file of a stock's page; no two names share one, whatever their letters."""
    return f"{plain_name(stock)}-{hashlib.sha256(stock.encode()).hexdigest()[:6]}.html"


INDEX_HEADINGS = ("Weight", "Caliper", "Coated", "Open size", *HEADINGS[2:3], *HEADINGS[6:])


def _line(stock: Stock, tried: Sequence[Entry], page: str | None) -> CatalogueLine:
    best = _best(tried)
    row = _row(best)
    width, height = stock.open_size_mm
    figures = row.cells[4:] if row else ("",) * 3
    return CatalogueLine(
        name=stock.name,
        page=page,
        grade=row.grade if row else NOT_TRIED,
        trials=len(tried),
        facts=(
            f"{stock.weight_gsm:g} g/m²" if stock.weight_gsm else NOT_NOTED,
            f"{stock.caliper_mm:g} mm" if stock.caliper_mm else NOT_NOTED,
            COATED_SAYS[stock.coated],
            f"{width:g} × {height:g} mm",
            str(price_a_sheet(stock.pack) or NOT_NOTED),
            *figures,
        ),
    )


def _best(tried: Sequence[Entry]) -> Ranked | None:
    ranked = [one for group in groups_of(tried) for one in group.ranked]
    return min(ranked, key=lambda one: _rank(one.entry.verdict.grade), default=None)


def _row(best: Ranked | None) -> CardColumn | None:
    if best is None:
        return None
    anchors: Mapping[str, str] = {best.entry.trial.id: ""}
    return card_rows([best], dict(anchors))[0]


def _rank(grade: str) -> int:
    return GRADES.index(grade) if grade in GRADES else len(GRADES)
