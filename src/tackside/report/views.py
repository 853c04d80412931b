"""What each part of the page shows, as plain frozen values; the templates hold no logic beyond loops and
absence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from tackside.bench.records import GRADES
from tackside.report import facts
from tackside.report.entry import Entry
from tackside.report.figures import FigureTable, attribute_tables, measure_tables
from tackside.report.patches import patch_table
from tackside.report.plots.series import STYLES
from tackside.report.plots.wedge import wedge
from tackside.report.plots_view import PlotsView, plots_view
from tackside.report.ranking import Group, Ranked, answer, groups_of, predicate
from tackside.report.trial_view import TrialView, trial_view
from tackside.report.words import (
    CAUTIONS,
    GRADE_MEANS,
    KIND_SAYS,
    SPACE_SAYS,
)


@dataclass(frozen=True)
class Place:
    """One line of the answer."""

    anchor: str
    place: str
    label: str
    grade: str
    wedge: Markup
    predicate: str
    estimate: bool


@dataclass(frozen=True)
class GroupView:
    """Trials that may be compared: the answer, the figures, the plots."""

    heading: str
    answer: tuple[str, ...]
    places: tuple[Place, ...]
    ranked: bool
    measures: tuple[FigureTable, ...]
    attributes: tuple[FigureTable, ...]
    plots: tuple[PlotsView, ...]


@dataclass(frozen=True)
class PageView:
    """The whole page."""

    title: str
    date: str
    note: str | None
    groups: tuple[GroupView, ...]
    trials: tuple[TrialView, ...]
    grades: tuple[tuple[str, str, Markup], ...]
    any_estimate: bool
    cautions: tuple[str, ...]
    version: str


def page_view(
    entries: Sequence[Entry], title: str | None, note: str | None, made_at: datetime | None, version: str
) -> PageView:
    """Everything the page shows. ``made_at`` None: the day of the newest verdict, so that the page is
    reproducible.
    """
    groups = groups_of(entries)
    tables = {entry.trial.id: patch_table(entry) for entry in entries}
    ordered = [ranked for group in groups for ranked in group.ranked]
    anchors = {ranked.entry.trial.id: f"trial-{n}" for n, ranked in enumerate(ordered, start=1)}
    return PageView(
        title=title or _title(entries),
        date=facts.day(made_at or max(entry.verdict.made_at for entry in entries)),
        note=note,
        groups=tuple(_group_view(group, anchors, alone=len(groups) == 1) for group in groups),
        trials=tuple(trial_view(ranked, anchors, tables[ranked.entry.trial.id]) for ranked in ordered),
        grades=tuple((grade, GRADE_MEANS[grade], Markup(wedge(grade))) for grade in GRADES),
        any_estimate=any(entry.verdict.estimate for entry in entries),
        cautions=CAUTIONS,
        version=version,
    )


def _title(entries: Sequence[Entry]) -> str:
    if len(entries) == 1:
        return f"What {entries[0].stock.name} can hold"
    return "Which card to print on"


def _group_view(group: Group, anchors: dict[str, str], *, alone: bool) -> GroupView:
    ranked = group.ranked
    sheet = ranked[0].entry.trial.sheet
    kind = KIND_SAYS[ranked[0].entry.reading.kind]
    device = ranked[0].entry.reading.device
    heading = "" if alone else f"Read by {device or kind}, sheets in {SPACE_SAYS[sheet.space]}"
    return GroupView(
        heading=heading,
        answer=answer(group),
        places=tuple(_place(one, anchors) for one in ranked),
        ranked=len(ranked) > 1,
        measures=measure_tables(ranked),
        attributes=attribute_tables(ranked),
        plots=tuple(plots_view(ranked[n : n + STYLES]) for n in range(0, len(ranked), STYLES)),
    )


def _place(ranked: Ranked, anchors: dict[str, str]) -> Place:
    verdict = ranked.entry.verdict
    return Place(
        anchor=anchors[ranked.entry.trial.id],
        place=ranked.place,
        label=ranked.label,
        grade=verdict.grade,
        wedge=Markup(wedge(verdict.grade)),
        predicate=predicate(ranked),
        estimate=verdict.estimate,
    )
