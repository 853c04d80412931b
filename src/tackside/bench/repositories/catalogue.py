"""Lists of records for people: searched, sorted, a page at a time, without opening the records themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

from sqlalchemy import ColumnElement, Select, Table, func, or_, select
from sqlalchemy.engine import Connection

from tackside import __version__
from tackside.bench.database.standing import (
    Kind,
    archived,
    arrival,
    holds,
    is_practice,
    narrow,
    newest_settings,
    rank,
    reading_stands,
    standing_verdict,
    trial_stands,
    withdrawn,
)
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import (
    CARD,
    PRINTER,
    READING,
    SETTINGS,
    SHELVING,
    STOCK,
    TRIAL,
    VERDICT,
    add_row,
)
from tackside.bench.repositories.revisions import newest_of
from tackside.records import Grade, Printer, Stock
from tackside.records.card import KeptCard
from tackside.records.sheet_plan import Side
from tackside.records.standing.latest import SIDES, latest_by_side

Stage = Literal["to-print", "to-judge", "open", "judged"]
Sort = Literal["newest", "oldest", "name", "grade"]
MOST_WORDS = 8


@dataclass(frozen=True)
class TrialLine:
    """A trial as a list shows it. ``grade`` and ``cause`` are those of its verdict that stands."""

    id: str
    stock: str
    printer: str
    side: str
    made_at: datetime
    media_setting: str | None
    is_read: bool
    grade: str | None
    cause: str | None
    archived: bool
    withdrawn: bool = False
    practice: bool = False

    @property
    def stage(self) -> Stage:
        if self.grade is not None:
            return "judged"
        return "to-judge" if self.is_read else "to-print"


@dataclass(frozen=True)
class StandingTrial:
    """The trial that stands for one side of a stock, with the grade and cause of its verdict."""

    side: Side
    id: str
    made_at: datetime
    grade: Grade
    cause: str


@dataclass(frozen=True)
class StockLine:
    """A stock as a list shows it. ``standing``: for each side that was judged the trial that stands, front first."""

    stock: Stock
    revision: int
    kept_at: datetime
    trials: int
    standing: tuple[StandingTrial, ...]
    archived: bool


@dataclass(frozen=True)
class PrinterLine:
    printer: Printer
    revision: int
    kept_at: datetime
    trials: int
    archived: bool


@dataclass(frozen=True)
class CardLine:
    card: KeptCard
    revision: int
    kept_at: datetime
    archived: bool


@dataclass(frozen=True)
class ListAsked:
    """What a list is asked for. ``words`` must all be found; ``start`` and ``count`` cut the page.

    ``archived``: what was put away instead; of trials also those that were withdrawn, which no other list holds.

    ``practice``: of trials those of the virtual press instead, which stand in no other list.

    ``grades`` are those of which one is wanted; none for all. Without ``total`` nothing is counted, and 0 is given.
    """

    words: str = ""
    sort: Sort = "newest"
    archived: bool = False
    practice: bool = False
    stock: str | None = None
    printer: str | None = None
    grades: tuple[str, ...] = ()
    stage: Stage | None = None
    coated: str | None = None
    base: str | None = None
    start: int = 0
    count: int = 40
    total: bool = True


class Catalogue:
    """The lists of a bench, and what was put away from them."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def trials(self, asked: ListAsked) -> tuple[tuple[TrialLine, ...], int]:
        """One page of trials, and how many there are in all."""
        grade, media = standing_verdict(VERDICT.c.grade), newest_settings(SETTINGS.c.media_setting)
        is_read = select(READING.c.seq).where(READING.c.trial == TRIAL.c.id, reading_stands()).exists()
        away = withdrawn("trial", TRIAL.c.id)
        put_away = or_(archived("trial", TRIAL.c.id), away)
        practice = is_practice(TRIAL.c.id)
        found = select(TRIAL.c.id).where(put_away if asked.archived else ~put_away)
        found = found.where(practice if asked.practice else ~practice)
        for word in asked.words.split()[:MOST_WORDS]:
            found = found.where(
                or_(*(holds(each, word) for each in (TRIAL.c.id, TRIAL.c.stock, TRIAL.c.printer, media)))
            )
        if asked.stock is not None:
            found = found.where(narrow(TRIAL.c.stock) == asked.stock)
        if asked.printer is not None:
            found = found.where(narrow(TRIAL.c.printer) == asked.printer)
        if asked.grades:
            found = found.where(grade.in_(asked.grades))
        if asked.stage is not None:
            stages: dict[Stage, ColumnElement[bool]] = {
                "to-print": ~is_read & grade.is_(None),
                "to-judge": is_read & grade.is_(None),
                "open": grade.is_(None),
                "judged": grade.is_not(None),
            }
            found = found.where(stages[asked.stage])
        order: dict[Sort, tuple[ColumnElement[Any], ...]] = {
            "newest": (arrival().desc(),),
            "oldest": (arrival().asc(),),
            "name": (func.lower(TRIAL.c.stock), arrival().desc()),
            "grade": (rank(grade), arrival().desc()),
        }
        shown = (
            found.with_only_columns(
                TRIAL.c.id, TRIAL.c.stock, TRIAL.c.printer, TRIAL.c.side, TRIAL.c.made_at, media.label("media"),
                is_read.label("is_read"), grade.label("grade"), standing_verdict(VERDICT.c.cause).label("cause"),
                away.label("withdrawn"),
            )
            .order_by(*order[asked.sort])
            .offset(asked.start)
            .limit(asked.count)
        )  # fmt: skip
        with self._vault.reading() as connection:
            count = select(func.count()).select_from(found.subquery())
            total = (connection.scalar(count) or 0) if asked.total else 0
            rows = connection.execute(shown).all()
        return tuple(
            TrialLine(
                row.id, row.stock, row.printer, row.side, row.made_at, row.media, bool(row.is_read), row.grade,
                row.cause, asked.archived, bool(row.withdrawn), asked.practice,
            )
            for row in rows
        ), total  # fmt: skip

    def grades(self) -> dict[str, str]:
        """The grade of the verdict that stands, for each trial that has one."""
        grade = standing_verdict(VERDICT.c.grade)
        with self._vault.reading() as connection:
            asked = select(TRIAL.c.id, grade.label("grade")).where(grade.is_not(None))
            return {row[0]: row[1] for row in connection.execute(asked)}

    def stocks(self, asked: ListAsked) -> tuple[tuple[StockLine, ...], int]:
        """One page of stocks, the newest revision of each."""
        found = _newest(STOCK, "stock", asked)
        if asked.coated is not None:
            found = found.where(STOCK.c.coated == asked.coated)
        if asked.base is not None:
            found = found.where(STOCK.c.base == asked.base)
        with self._vault.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(found.subquery())) or 0
            rows = connection.execute(_page(found, STOCK, asked)).all()
            made = _trials_of(connection, TRIAL.c.stock, [row.name for row in rows])
        standing = self.standing([row.name for row in rows])
        return tuple(
            StockLine(
                self._vault.revive(Stock, row.body), row.revision, row.kept_at, made.get(row.name, 0),
                standing.get(row.name, ()), asked.archived,
            )
            for row in rows
        ), total  # fmt: skip

    def standing(self, stocks: Sequence[str] | None = None) -> dict[str, tuple[StandingTrial, ...]]:
        """The trials that stand for some stocks, or for all, by the rule of ``records.standing.latest``, front first.

        What has no verdict that stands is not there. Archived trials count: they are out of the lists, not out of the
        answers.
        """
        grade, cause = standing_verdict(VERDICT.c.grade), standing_verdict(VERDICT.c.cause)
        asked = (
            select(
                TRIAL.c.id, TRIAL.c.stock, TRIAL.c.side, TRIAL.c.made_at, grade.label("grade"),
                cause.label("cause"),
            )
            .where(trial_stands(), grade.is_not(None))
            .order_by(arrival())
        )  # fmt: skip
        if stocks is not None:
            asked = asked.where(narrow(TRIAL.c.stock).in_(stocks))
        with self._vault.reading() as connection:
            rows = connection.execute(asked).all()
        latest = latest_by_side(rows, lambda row: (row.stock, row.side), lambda row: row.made_at)
        found: dict[str, tuple[StandingTrial, ...]] = {}
        for row in sorted(latest, key=lambda row: SIDES.index(row.side)):
            one = StandingTrial(row.side, row.id, row.made_at, row.grade, row.cause)
            found[row.stock] = (*found.get(row.stock, ()), one)
        return found

    def printers(self, asked: ListAsked) -> tuple[tuple[PrinterLine, ...], int]:
        """One page of printers, the newest revision of each."""
        found = _newest(PRINTER, "printer", asked)
        with self._vault.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(found.subquery())) or 0
            rows = connection.execute(_page(found, PRINTER, asked)).all()
            made = _trials_of(connection, TRIAL.c.printer, [row.name for row in rows])
        return tuple(
            PrinterLine(
                self._vault.revive(Printer, row.body), row.revision, row.kept_at, made.get(row.name, 0),
                asked.archived,
            )
            for row in rows
        ), total  # fmt: skip

    def cards(self, asked: ListAsked) -> tuple[tuple[CardLine, ...], int]:
        """One page of cards, the newest revision of each."""
        found = _newest(CARD, "card", asked)
        if asked.stock is not None:
            found = found.where(CARD.c.stock == asked.stock)
        with self._vault.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(found.subquery())) or 0
            rows = connection.execute(_page(found, CARD, asked)).all()
        return tuple(
            CardLine(self._vault.revive(KeptCard, row.body), row.revision, row.kept_at, asked.archived)
            for row in rows
        ), total

    def untried(self, count: int = 3) -> tuple[str, ...]:
        """Names of stocks that no trial was made of, newest first."""
        tried = select(TRIAL.c.seq).where(TRIAL.c.stock == STOCK.c.name, trial_stands()).exists()
        asked = (
            select(STOCK.c.name)
            .where(~tried, archived("stock", STOCK.c.name).is_(False))
            .group_by(STOCK.c.name)
            .order_by(func.max(STOCK.c.seq).desc())
            .limit(count)
        )
        with self._vault.reading() as connection:
            return tuple(connection.scalars(asked).all())

    def names(self, kind: Literal["stock", "printer"]) -> tuple[str, ...]:
        """All names that are not put away, in order."""
        name = (STOCK if kind == "stock" else PRINTER).c.name
        asked = select(name).where(archived(kind, name).is_(False)).distinct().order_by(name)
        with self._vault.reading() as connection:
            return tuple(connection.scalars(asked).all())

    def is_archived(self, kind: Kind, name: str) -> bool:
        with self._vault.reading() as connection:
            return bool(connection.scalar(select(archived(kind, name))))

    def archive(self, kind: Kind, name: str, *, archived: bool = True) -> None:
        """Put a record away from the lists, or take it out again. Nothing is deleted."""
        with self._vault.writing() as connection:
            add_row(
                connection, SHELVING,
                kind=kind, name=name, archived=archived, kept_at=datetime.now(UTC), version=__version__,
            )  # fmt: skip


def _newest(table: Table, kind: Kind, asked: ListAsked) -> Select[Any]:
    of = table.c
    found = newest_of(table).where(archived(kind, of.name).is_(asked.archived))
    columns = [of.name, *([CARD.c.stock, CARD.c.printer] if table is CARD else [])]
    for word in asked.words.split()[:MOST_WORDS]:
        found = found.where(or_(*(holds(each, word) for each in columns)))
    return found


def _page(found: Select[Any], table: Table, asked: ListAsked) -> Select[Any]:
    order: tuple[ColumnElement[Any], ...] = (func.lower(table.c.name), table.c.seq.desc())
    if asked.sort in ("newest", "oldest"):
        order = (table.c.seq.desc() if asked.sort == "newest" else table.c.seq.asc(),)
    return found.order_by(*order).offset(asked.start).limit(asked.count)


def _trials_of(connection: Connection, column: Any, names: Sequence[str]) -> dict[str, int]:
    """How many trials that were not withdrawn there are of each stock or printer (``column``)."""
    asked = select(column, func.count()).where(narrow(column).in_(names), trial_stands()).group_by(column)
    return {row[0]: row[1] for row in connection.execute(asked)}
