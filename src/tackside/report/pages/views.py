"""What each part of the page shows, as plain frozen values; the templates hold no logic beyond loops and
absence.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from markupsafe import Markup

from tackside.records import GRADES
from tackside.report import facts
from tackside.report.change import FINDING_SAYS, Change, Finding, changes
from tackside.report.data import attachments
from tackside.report.entry import Entry
from tackside.report.figures import FigureTable, attribute_tables, measure_tables
from tackside.report.method import methods
from tackside.report.pages.cards_table import HEADINGS, CardColumn, card_rows
from tackside.report.pages.plots_view import PlotsView, plots_view
from tackside.report.pages.summary import for_photographs
from tackside.report.pages.trial_view import TrialView, notices_of, sources_of, trial_view
from tackside.report.patches import patch_table
from tackside.report.plots.series import STYLES
from tackside.report.plots.wedge import wedge
from tackside.report.prints import PrintPicture
from tackside.report.ranking import ComparableTrials, Ranked, answer, groups_of, predicate
from tackside.report.words import CAUTIONS, GRADE_MEANS, KIND_SAYS, SPACE_SAYS, full_sentence

# Prints are shown this many times smaller than they are, each alike.
PICTURE_SCALE = 4


@dataclass(frozen=True)
class RankedPlace:
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
    places: tuple[RankedPlace, ...]
    ranked: bool
    measures: tuple[FigureTable, ...]
    attributes: tuple[FigureTable, ...]
    plots: tuple[PlotsView, ...]
    cards: tuple[CardColumn, ...]


@dataclass(frozen=True)
class PictureView:
    """The picture of a print on the page: JPEG bytes as text, and its size there in mm."""

    anchor: str
    label: str
    jpeg: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Download:
    """A file that the page brings with it."""

    name: str
    said: str
    address: str
    kilobytes: int


@dataclass(frozen=True)
class Extras:
    """What a published report brings beside the records: pictures by trial id, data, a licence."""

    pictures: Mapping[str, PrintPicture] = field(default_factory=dict)
    data: bool = False
    licence: str | None = None


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
    headings: tuple[str, ...] = HEADINGS
    changes: tuple[Change, ...] = ()
    findings: Mapping[Finding, str] = field(default_factory=lambda: FINDING_SAYS)
    pictures: tuple[PictureView, ...] = ()
    picture_scale: int = PICTURE_SCALE
    downloads: tuple[Download, ...] = ()
    methods: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    licence: str | None = None


def page_view(
    entries: Sequence[Entry],
    title: str | None,
    note: str | None,
    made_at: datetime | None,
    version: str,
    extras: Extras | None = None,
) -> PageView:
    """Everything the page shows. ``made_at`` None: the day of the newest verdict, so that the page is
    reproducible.
    """
    groups = groups_of(entries)
    tables = {entry.trial.id: patch_table(entry) for entry in entries}
    ordered = [ranked for group in groups for ranked in group.ranked]
    anchors = {ranked.entry.trial.id: f"trial-{n}" for n, ranked in enumerate(ordered, start=1)}
    more = extras or Extras()
    shared, sources = _shared_notices(entries), sources_of([one.entry for one in ordered])
    return PageView(
        title=title or _title(entries),
        date=facts.day(made_at or max(entry.verdict.made_at for entry in entries)),
        note=note,
        groups=tuple(_group_view(group, anchors, alone=len(groups) == 1) for group in groups),
        trials=tuple(
            trial_view(ranked, anchors, tables[ranked.entry.trial.id], shared, sources) for ranked in ordered
        ),
        grades=tuple((grade, GRADE_MEANS[grade], Markup(wedge(grade))) for grade in GRADES),
        any_estimate=any(entry.verdict.estimate for entry in entries),
        cautions=CAUTIONS,
        version=version,
        changes=changes(entries),
        pictures=_pictures(ordered, anchors, more.pictures),
        downloads=_downloads(ordered) if more.data else (),
        methods=(*methods(entries), *(f"Of all of them: {notice}" for notice in shared)),
        sources=sources,
        licence=full_sentence(more.licence) if more.licence else None,
    )


def _shared_notices(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Notices that every trial of the page has: they are said once, with the method."""
    if len(entries) == 1:
        return ()
    found = [notices_of(entry) for entry in entries]
    return tuple(each for each in found[0] if all(each in others for others in found))


def _pictures(
    ordered: Sequence[Ranked], anchors: dict[str, str], pictures: Mapping[str, PrintPicture]
) -> tuple[PictureView, ...]:
    return tuple(
        PictureView(
            anchors[one.entry.trial.id],
            one.label,
            b64encode(found.jpeg).decode("ascii"),
            round(found.width_mm / PICTURE_SCALE, 2),
            round(found.height_mm / PICTURE_SCALE, 2),
        )
        for one in ordered
        if (found := pictures.get(one.entry.trial.id)) is not None
    )


def _downloads(ordered: Sequence[Ranked]) -> tuple[Download, ...]:
    made = attachments([one.entry for one in ordered], [one.label for one in ordered])
    return tuple(
        Download(
            one.name,
            one.said,
            f"data:{one.media_type};base64,{b64encode(one.data).decode('ascii')}",
            -(-len(one.data) // 1000),
        )
        for one in made
    )


def _title(entries: Sequence[Entry]) -> str:
    if len(entries) == 1:
        return f"What {entries[0].stock.name} can hold"
    return "Which card to print on"


def _group_view(group: ComparableTrials, anchors: dict[str, str], *, alone: bool) -> GroupView:
    ranked = group.ranked
    sheet = ranked[0].entry.trial.sheet
    kind = KIND_SAYS[ranked[0].entry.reading.kind]
    device = ranked[0].entry.reading.device
    heading = "" if alone else f"Read by {device or kind}, sheets in {SPACE_SAYS[sheet.space]}"
    return GroupView(
        heading=heading,
        answer=(" ".join(for_photographs(group)), *answer(group)),
        places=tuple(_place(one, anchors) for one in ranked),
        ranked=len(ranked) > 1,
        measures=measure_tables(ranked),
        attributes=attribute_tables(ranked),
        plots=tuple(plots_view(ranked[n : n + STYLES]) for n in range(0, len(ranked), STYLES)),
        cards=card_rows(ranked, anchors),
    )


def _place(ranked: Ranked, anchors: dict[str, str]) -> RankedPlace:
    verdict = ranked.entry.verdict
    return RankedPlace(
        anchor=anchors[ranked.entry.trial.id],
        place=ranked.place,
        label=ranked.label,
        grade=verdict.grade,
        wedge=Markup(wedge(verdict.grade)),
        predicate=predicate(ranked),
        estimate=verdict.estimate,
    )
