"""The short form for one card: "can I print on this?", answered on half a page for whoever asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from tackside import __version__
from tackside.errors import DoesNotFit
from tackside.fit.fit_stock import fit_stock
from tackside.messages.message import Message
from tackside.records import Grade
from tackside.report import facts
from tackside.report.entry import Entry
from tackside.report.facts import NOT_NOTED, Fact
from tackside.report.pages.cards_table import HEADINGS, card_rows
from tackside.report.pages.page import environment, style_sheet
from tackside.report.pages.paper import typeset
from tackside.report.pages.views import PICTURE_SCALE
from tackside.report.published import published
from tackside.report.ranking import Ranked, answer, groups_of, is_unsettled
from tackside.report.words import CAUTIONS, GRADE_MEANS

SAYS: Mapping[Grade, str] = {
    "sell": "Yes, even for sale.",
    "send": "Yes, to give or to post.",
    "draft": "Only for drafts.",
    "reject": "No.",
}
NOT_KNOWN_YET = "Not known yet."
MOST_REASONS = 4
# A print that nobody wants again is told of, not recommended.
DONE_AGAIN = frozenset({"sell", "send"})
DO_SO, DONE_SO = "Print it like this", "How it was printed"


@dataclass(frozen=True)
class ShortView:
    """What the short form says. ``do`` is what to do to get this print."""

    question: str
    answer: str
    meaning: str
    sentences: tuple[str, ...]
    estimate: bool
    do_said: str
    do: tuple[Fact, ...]
    card: tuple[Fact, ...]
    reasons: tuple[str, ...]
    caution: str
    date: str
    version: str
    trial: str
    scale: int = PICTURE_SCALE


def question(entry: Entry) -> Message:
    """What the short answer answers, its title."""
    return Message("report.can-i-print", stock=entry.stock.name)


def short_view(entry: Entry, made_at: datetime | None = None) -> ShortView:
    """The short answer on one trial; what holds, and for what."""
    (group,) = groups_of([entry])
    (ranked,) = group.ranked
    verdict = entry.verdict
    unsure = is_unsettled(verdict)
    return ShortView(
        question=published(question(entry)),
        answer=NOT_KNOWN_YET if unsure else SAYS[verdict.grade],
        meaning="" if unsure else f"{GRADE_MEANS[verdict.grade].capitalize()}.",
        sentences=answer(group) if unsure else (),
        estimate=verdict.estimate,
        do_said=DO_SO if not unsure and verdict.grade in DONE_AGAIN else DONE_SO,
        do=_do(entry),
        card=_card(ranked),
        reasons=tuple(map(published, verdict.reasons[:MOST_REASONS])),
        caution=CAUTIONS[0],
        date=facts.day(made_at or verdict.made_at),
        version=__version__,
        trial=entry.trial.id,
    )


def render_short(entry: Entry, made_at: datetime | None = None) -> str:
    """The short form as one HTML page that needs nothing from outside."""
    view = short_view(entry, made_at)
    return environment().get_template("short.html.j2").render(page=view, style=style_sheet())


def render_short_pdf(entry: Entry, made_at: datetime | None = None) -> bytes:
    """The short form as a PDF of one page."""
    data: dict[str, Any] = asdict(short_view(entry, made_at))
    return typeset("short", data, {}, made_at or entry.verdict.made_at)


def _do(entry: Entry) -> tuple[Fact, ...]:
    """What to do, as it was done: side, feed, settings, drying."""
    settings = entry.trial.settings
    try:
        fit = fit_stock(entry.stock, entry.printer, side=entry.trial.side)
        edge = "yes" if fit.borderless else "no, it leaves a margin"
    except DoesNotFit:
        edge = NOT_NOTED
    return (
        Fact("Printer", entry.printer.name),
        Fact("Side", entry.trial.side),
        Fact("Feed", entry.trial.feed),
        Fact("Media setting", settings.media_setting or NOT_NOTED),
        Fact("Quality", settings.quality or NOT_NOTED),
        Fact("Profile", settings.profile or NOT_NOTED),
        Fact("Drying", f"{settings.drying_hours:g} h" if settings.drying_hours is not None else NOT_NOTED),
        Fact("To the edge", edge),
    )


def _card(ranked: Ranked) -> tuple[Fact, ...]:
    stock = ranked.entry.stock
    (row,) = card_rows([ranked], {ranked.entry.trial.id: ""})
    figures = dict(zip(HEADINGS[2:], row.cells, strict=True))
    width, height = stock.open_size_mm
    return (
        Fact("Open size", f"{width:g} × {height:g} mm"),
        Fact("Weight", f"{stock.weight_gsm:g} g/m²" if stock.weight_gsm else NOT_NOTED),
        *(Fact(name, figures[name]) for name in HEADINGS[2:4]),
        *(Fact(name, figures[name]) for name in HEADINGS[6:]),
    )
