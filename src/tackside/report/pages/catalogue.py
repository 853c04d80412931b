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
from tackside.records.standing.latest import SIDES, latest_by_side
from tackside.report import facts
from tackside.report.data import figures_csv, patches_csv, plain_name
from tackside.report.entry import Entry
from tackside.report.facts import NOT_NOTED
from tackside.report.pages.cards_table import HEADINGS, CardColumn, card_rows
from tackside.report.pages.page import environment, render_report, style_sheet
from tackside.report.pages.views import Extras
from tackside.report.plots.wedge import wedge
from tackside.report.ranking import groups_of, labels_of
from tackside.report.words import CAUTIONS, COATED_SAYS, GRADE_MEANS

STYLE = "style.css"
NOT_TRIED = "not tried yet"
Columns = tuple[str, ...]


@dataclass(frozen=True)
class CatalogueLine:
    """A stock in the index, or one side of it where both were judged: its page, the verdict of the trial that stands
    (``records.standing.latest``), its chief facts."""

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
    lines = [line for stock in stocks for line in _lines(stock, by_stock[stock.name], pages.get(stock.name))]
    lines.sort(key=lambda line: (_rank(line.grade), line.name.casefold()))
    view = CatalogueView(
        title=title or "Cards that were tried",
        date=facts.day(made_at),
        headings=("Card", "Verdict that stands", "Trials", *INDEX_HEADINGS),
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


def _lines(stock: Stock, tried: Sequence[Entry], page: str | None) -> list[CatalogueLine]:
    """One line a side that was judged, front first; one without a verdict where neither was."""
    standing = latest_by_side(tried, lambda one: one.trial.side, lambda one: one.trial.made_at)
    if not standing:
        return [_line(stock, stock.name, None, 0, page)]
    standing.sort(key=lambda one: SIDES.index(one.trial.side))
    return [
        _line(
            stock,
            stock.name if len(standing) == 1 else f"{stock.name}, {one.trial.side} side",
            one,
            sum(each.trial.side == one.trial.side for each in tried),
            page,
        )
        for one in standing
    ]


def _line(stock: Stock, name: str, standing: Entry | None, trials: int, page: str | None) -> CatalogueLine:
    row = None if standing is None else _row(standing)
    width, height = stock.open_size_mm
    figures = row.cells[4:] if row else ("",) * 3
    return CatalogueLine(
        name=name,
        page=page,
        grade=row.grade if row else NOT_TRIED,
        trials=trials,
        facts=(
            f"{stock.weight_gsm:g} g/m²" if stock.weight_gsm else NOT_NOTED,
            f"{stock.caliper_mm:g} mm" if stock.caliper_mm else NOT_NOTED,
            COATED_SAYS[stock.coated],
            f"{width:g} × {height:g} mm",
            str(price_a_sheet(stock.pack) or NOT_NOTED),
            *figures,
        ),
    )


def _row(standing: Entry) -> CardColumn:
    ranked = groups_of([standing])[0].ranked[0]
    anchors: Mapping[str, str] = {standing.trial.id: ""}
    return card_rows([ranked], dict(anchors))[0]


def _rank(grade: str) -> int:
    return GRADES.index(grade) if grade in GRADES else len(GRADES)
