"""What stands on a bench, as parts of a query: said here once, for every list, verdict, choice and sum.

A reading, trial or count stands until it is withdrawn. Of a trial's readings that stand, one is the trial's own: by an
instrument before a scan before answers by eye, and of one kind the one that came last. Of its verdicts that one stands
which was given last on the foremost of those readings that was judged.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Select, String, and_, case, cast, func, select

from tackside.bench.database.run_tables import TallyRow
from tackside.bench.database.tables import PracticeRow, ReadingRow, TrialRow, VerdictRow, WithdrawalRow
from tackside.records.reading import STANDING_ORDER
from tackside.records.standing.withdrawal import WithdrawnKind


def withdrawn(kind: WithdrawnKind, subject: Any) -> ColumnElement[bool]:
    """Whether something was withdrawn and not put back; ``subject`` is a column or a text."""
    last = (
        select(WithdrawalRow.withdrawn)
        .where(WithdrawalRow.kind == kind, WithdrawalRow.subject == subject)
        .order_by(WithdrawalRow.noted_at.desc(), WithdrawalRow.seq.desc())
        .limit(1)
        .correlate_except(WithdrawalRow)
    )
    away: ColumnElement[bool] = func.coalesce(last.scalar_subquery(), False)
    return away


def is_practice(trial: Any) -> ColumnElement[bool]:
    """Whether a trial was printed by the virtual press; ``trial`` is a column. Such a one is evidence of nothing: it
    stands for itself, and no list, choice or sum counts it unless it asks for practice.
    """
    printed = select(PracticeRow.seq).where(PracticeRow.trial == trial, PracticeRow.kind == "print")
    found: ColumnElement[bool] = printed.correlate_except(PracticeRow).exists()
    return found


def trial_stands() -> ColumnElement[bool]:
    """A real trial that was not withdrawn."""
    return and_(~withdrawn("trial", TrialRow.id), ~is_practice(TrialRow.id))


def reading_stands() -> ColumnElement[bool]:
    """Neither the reading nor its trial is withdrawn."""
    return and_(~withdrawn("reading", ReadingRow.id), ~withdrawn("trial", ReadingRow.trial))


def verdict_stands() -> ColumnElement[bool]:
    """Neither the reading that it was given on is withdrawn, nor the trial."""
    return and_(~withdrawn("reading", VerdictRow.reading), ~withdrawn("trial", VerdictRow.trial))


def count_stands() -> ColumnElement[bool]:
    return ~withdrawn("count", subject_of_count())


def subject_of_count() -> ColumnElement[str]:
    """The name by which a count is withdrawn."""
    return cast(TallyRow.seq, String)


def foremost_reading() -> tuple[ColumnElement[Any], ...]:
    """The order of one trial's readings, the one that stands first."""
    return (_rank(), ReadingRow.seq.desc())


def foremost_verdict() -> tuple[ColumnElement[Any], ...]:
    """The order of one trial's verdicts, the one that stands first; for a query made ``with_readings``."""
    return (_rank(), ReadingRow.seq.desc(), VerdictRow.seq.desc())


def with_readings(asked: Select[Any]) -> Select[Any]:
    """A query of verdicts beside the reading that each was given on, where it names one.

    By the trial, and not by the reading's id alone: that is answered from the narrow index of lists.
    """
    same = and_(ReadingRow.trial == VerdictRow.trial, ReadingRow.id + "" == VerdictRow.reading)
    return asked.outerjoin(ReadingRow, same)


def _rank() -> ColumnElement[int]:
    """A kind's place; last a verdict that names no reading."""
    places = ((ReadingRow.kind == kind, place) for place, kind in enumerate(STANDING_ORDER))
    return case(*places, else_=len(STANDING_ORDER))
