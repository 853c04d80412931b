"""What a list's query is put together from: a record's newest state, a seek in an index for each.

Rows hold whole sheets and readings, a hundred kilobytes each. A list must never read past them: every expression here
is answered from a narrow index, whatever a planner without statistics would rather do.
"""

from __future__ import annotations

from typing import Any, Literal

from sqlalchemy import ColumnElement, ScalarSelect, case, func, select

from tackside.bench.database.asset_tables import PictureRow, ProfileRow
from tackside.bench.database.standing import foremost_verdict, verdict_stands, with_readings
from tackside.bench.database.tables import (
    CardRow,
    PrinterRow,
    SettingsRow,
    ShelvingRow,
    StockRow,
    TrialRow,
    VerdictRow,
)
from tackside.records import GRADES

Kind = Literal["stock", "printer", "trial", "card", "profile", "picture"]


def standing_verdict(column: Any) -> ScalarSelect[Any]:
    """A column of the verdict of a trial that stands."""
    found = with_readings(select(column).select_from(VerdictRow))
    found = found.where(VerdictRow.trial == TrialRow.id, verdict_stands()).order_by(*foremost_verdict())
    return found.limit(1).correlate(TrialRow).scalar_subquery()


def newest_settings(column: Any) -> ScalarSelect[Any]:
    """A column of a trial's newest settings."""
    known = select(column).where(SettingsRow.trial == TrialRow.id).order_by(SettingsRow.revision.desc())
    return known.limit(1).correlate(TrialRow).scalar_subquery()


def archived(kind: Kind, name: Any) -> ColumnElement[bool]:
    """Whether a record was put away and not taken out again; ``name`` is a column or a text."""
    newest = (
        select(ShelvingRow.archived)
        .where(ShelvingRow.kind == kind, ShelvingRow.name == name)
        .order_by(ShelvingRow.seq.desc())
        .limit(1)
    )
    if not isinstance(name, str):
        newest = newest.correlate(TrialRow, StockRow, PrinterRow, CardRow, ProfileRow, PictureRow)
    away: ColumnElement[bool] = func.coalesce(newest.scalar_subquery(), False)
    return away


def narrow(column: Any) -> ColumnElement[str]:
    """A text column as an expression, so that no index but the narrow one of lists comes into question."""
    plain: ColumnElement[str] = column + ""
    return plain


def arrival() -> ColumnElement[int]:
    """The order in which trials came, likewise."""
    return TrialRow.seq + 0


def holds(column: Any, word: str) -> ColumnElement[bool]:
    """Whether a text holds a word, whatever its capitals."""
    held: ColumnElement[bool] = column.icontains(word, autoescape=True)
    return held


def rank(grade: Any) -> ColumnElement[int]:
    """Best first, what has no grade last."""
    return case(*((grade == each, place) for place, each in enumerate(GRADES)), else_=len(GRADES))
