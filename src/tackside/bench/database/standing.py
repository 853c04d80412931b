"""What stands on a bench, and what is newest, as parts of a query: said here once, for every list, verdict, choice and
sum.

A reading, trial or count stands until it is withdrawn. Of a trial's readings that stand, one is the trial's own: by an
instrument before a scan before answers by eye, and of one kind the one that came last. Of its verdicts that one stands
which was given last on the foremost of those readings that was judged.

Rows hold whole sheets and readings, a hundred kilobytes each. A list must never read past them: every expression here
that is for lists is answered from a narrow index, a seek for each, whatever a planner without statistics would rather
do.
"""

from __future__ import annotations

from typing import Any, Literal

from sqlalchemy import ColumnElement, ScalarSelect, Select, String, and_, case, cast, func, select

from tackside.bench.database.asset_tables import PICTURE, PROFILE
from tackside.bench.database.run_tables import TALLY
from tackside.bench.database.tables import (
    CARD,
    PRACTICE,
    PRINTER,
    READING,
    SETTINGS,
    SHELVING,
    STOCK,
    TRIAL,
    VERDICT,
    WITHDRAWAL,
)
from tackside.records import GRADES
from tackside.records.reading import STANDING_ORDER
from tackside.records.standing.withdrawal import WithdrawnKind


def withdrawn(kind: WithdrawnKind, subject: Any) -> ColumnElement[bool]:
    """Whether something was withdrawn and not put back; ``subject`` is a column or a text."""
    last = (
        select(WITHDRAWAL.c.withdrawn)
        .where(WITHDRAWAL.c.kind == kind, WITHDRAWAL.c.subject == subject)
        .order_by(WITHDRAWAL.c.noted_at.desc(), WITHDRAWAL.c.seq.desc())
        .limit(1)
        .correlate_except(WITHDRAWAL)
    )
    away: ColumnElement[bool] = func.coalesce(last.scalar_subquery(), False)
    return away


def is_practice(trial: Any) -> ColumnElement[bool]:
    """Whether a trial was printed by the virtual press; ``trial`` is a column. Such a one is evidence of nothing: it
    stands for itself, and no list, choice or sum counts it unless it asks for practice.
    """
    printed = select(PRACTICE.c.seq).where(PRACTICE.c.trial == trial, PRACTICE.c.kind == "print")
    found: ColumnElement[bool] = printed.correlate_except(PRACTICE).exists()
    return found


def trial_stands() -> ColumnElement[bool]:
    """A real trial that was not withdrawn."""
    return and_(~withdrawn("trial", TRIAL.c.id), ~is_practice(TRIAL.c.id))


def reading_stands() -> ColumnElement[bool]:
    """Neither the reading nor its trial is withdrawn."""
    return and_(~withdrawn("reading", READING.c.id), ~withdrawn("trial", READING.c.trial))


def verdict_stands() -> ColumnElement[bool]:
    """Neither the reading that it was given on is withdrawn, nor the trial."""
    return and_(~withdrawn("reading", VERDICT.c.reading), ~withdrawn("trial", VERDICT.c.trial))


def count_stands() -> ColumnElement[bool]:
    return ~withdrawn("count", subject_of_count())


def subject_of_count() -> ColumnElement[str]:
    """The name by which a count is withdrawn."""
    return cast(TALLY.c.seq, String)


def foremost_reading() -> tuple[ColumnElement[Any], ...]:
    """The order of one trial's readings, the one that stands first."""
    return (_rank(), READING.c.seq.desc())


def foremost_verdict() -> tuple[ColumnElement[Any], ...]:
    """The order of one trial's verdicts, the one that stands first; for a query made ``with_readings``."""
    return (_rank(), READING.c.seq.desc(), VERDICT.c.seq.desc())


def with_readings(asked: Select[Any]) -> Select[Any]:
    """A query of verdicts beside the reading that each was given on, where it names one.

    By the trial, and not by the reading's id alone: that is answered from the narrow index of lists.
    """
    same = and_(READING.c.trial == VERDICT.c.trial, READING.c.id + "" == VERDICT.c.reading)
    return asked.outerjoin(READING, same)


def _rank() -> ColumnElement[int]:
    """A kind's place; last a verdict that names no reading."""
    places = ((READING.c.kind == kind, place) for place, kind in enumerate(STANDING_ORDER))
    return case(*places, else_=len(STANDING_ORDER))


Kind = Literal["stock", "printer", "trial", "card", "profile", "picture"]


def standing_verdict(column: Any) -> ScalarSelect[Any]:
    """A column of the verdict of a trial that stands."""
    found = with_readings(select(column).select_from(VERDICT))
    found = found.where(VERDICT.c.trial == TRIAL.c.id, verdict_stands()).order_by(*foremost_verdict())
    return found.limit(1).correlate(TRIAL).scalar_subquery()


def newest_settings(column: Any) -> ScalarSelect[Any]:
    """A column of a trial's newest settings."""
    known = select(column).where(SETTINGS.c.trial == TRIAL.c.id).order_by(SETTINGS.c.revision.desc())
    return known.limit(1).correlate(TRIAL).scalar_subquery()


def archived(kind: Kind, name: Any) -> ColumnElement[bool]:
    """Whether a record was put away and not taken out again; ``name`` is a column or a text."""
    newest = (
        select(SHELVING.c.archived)
        .where(SHELVING.c.kind == kind, SHELVING.c.name == name)
        .order_by(SHELVING.c.seq.desc())
        .limit(1)
    )
    if not isinstance(name, str):
        newest = newest.correlate(TRIAL, STOCK, PRINTER, CARD, PROFILE, PICTURE)
    away: ColumnElement[bool] = func.coalesce(newest.scalar_subquery(), False)
    return away


def narrow(column: Any) -> ColumnElement[str]:
    """A text column as an expression, so that no index but the narrow one of lists comes into question."""
    plain: ColumnElement[str] = column + ""
    return plain


def arrival() -> ColumnElement[int]:
    """The order in which trials came, likewise."""
    return TRIAL.c.seq + 0


def holds(column: Any, word: str) -> ColumnElement[bool]:
    """Whether a text holds a word, whatever its capitals."""
    held: ColumnElement[bool] = column.icontains(word, autoescape=True)
    return held


def rank(grade: Any) -> ColumnElement[int]:
    """Best first, what has no grade last."""
    return case(*((grade == each, place) for place, each in enumerate(GRADES)), else_=len(GRADES))
