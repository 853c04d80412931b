"""What was measured on each card, told from narrow rows: no trial and no reading is opened to find it.

What was withdrawn is left out, and so is practice.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import NamedTuple

from sqlalchemy import ColumnElement, and_, func, select

from tackside.bench.database.standing import arrival, foremost_reading, is_practice, narrow, reading_stands
from tackside.bench.database.storage import Vault
from tackside.bench.database.tables import PlacementRow, ReadingRow, TrialRow
from tackside.records import Placement
from tackside.records.sheet_plan import Side


class PrintedBy(NamedTuple):
    """A way in which trials were printed; ``size_mm`` is the open sheet as fed: (width, height)."""

    feed: str
    side: Side
    size_mm: tuple[float, float]
    borderless: bool


class Measured:
    """What readings told, by card and by way of printing."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def ways(self, stock: str, printer: str) -> tuple[PrintedBy, ...]:
        """The ways in which prints of a stock on a printer were placed, in the order their first trials came."""
        way = (
            PlacementRow.feed, PlacementRow.side, PlacementRow.width_mm, PlacementRow.height_mm,
            PlacementRow.borderless,
        )  # fmt: skip
        asked = (
            select(*way)
            .join(TrialRow, TrialRow.id == PlacementRow.trial)
            .join(ReadingRow, _of_placement())
            .where(PlacementRow.stock == stock, PlacementRow.printer == printer, _counts())
            .group_by(*way)
            .order_by(func.min(TrialRow.seq))
        )
        with self._vault.reading() as session:
            rows = session.execute(asked).all()
        return tuple(
            PrintedBy(row.feed, row.side, (row.width_mm, row.height_mm), row.borderless) for row in rows
        )

    def placements(
        self, stock: str, printer: str, way: PrintedBy, *, within_mm: float
    ) -> tuple[tuple[str, Placement], ...]:
        """(trial, where its print fell) of each trial printed in one way, sizes no more than ``within_mm`` apart.

        Trials stand in the order they came. Each counts once, by the foremost of its readings that tells (a scan before
        rulers): several scans of one print are no repeats of printing.
        """
        width, height = way.size_mm
        asked = (
            select(PlacementRow.trial, PlacementRow.body)
            .join(TrialRow, TrialRow.id == PlacementRow.trial)
            .join(ReadingRow, _of_placement())
            .where(
                _counts(),
                PlacementRow.stock == stock,
                PlacementRow.printer == printer,
                PlacementRow.feed == way.feed,
                PlacementRow.side == way.side,
                PlacementRow.borderless.is_(way.borderless),
                func.abs(PlacementRow.width_mm - width) <= within_mm,
                func.abs(PlacementRow.height_mm - height) <= within_mm,
            )
            .order_by(TrialRow.seq, *foremost_reading())
        )
        foremost: dict[str, dict[str, object]] = {}
        with self._vault.reading() as session:
            for row in session.execute(asked):
                foremost.setdefault(row.trial, row.body)
        return tuple((trial, self._vault.revive(Placement, body)) for trial, body in foremost.items())

    def last_placement(self, stock: str, printer: str) -> int:
        """A number that grows with each new reading of a stock on a printer that is placed, withdrawn later or not; 0
        while there is none."""
        asked = select(func.max(PlacementRow.reading_seq)).where(
            PlacementRow.stock == stock, PlacementRow.printer == printer
        )
        with self._vault.reading() as session:
            return session.scalar(asked) or 0

    def newest(
        self, *, stock: str | None = None, printer: str | None = None, without: Collection[str] = ()
    ) -> tuple[tuple[str, str], ...]:
        """(trial, reading) ids of the newest measured reading of each stock, side and printer, in the order in which
        the first trials of the cards came; answers by eye are not measured. Of a trial the reading that stands counts.
        ``without`` the trials of these ids.
        """
        asked = (
            select(
                TrialRow.id,
                TrialRow.stock,
                TrialRow.side,
                TrialRow.printer,
                ReadingRow.id,
                ReadingRow.made_at,
            )
            .join(ReadingRow, ReadingRow.trial == TrialRow.id)
            .where(narrow(ReadingRow.kind) != "eye", _counts())
            .order_by(arrival(), *foremost_reading())
        )
        if stock is not None:
            asked = asked.where(narrow(TrialRow.stock) == stock)
        if printer is not None:
            asked = asked.where(narrow(TrialRow.printer) == printer)
        if without:
            asked = asked.where(TrialRow.id.not_in(without))
        newest: dict[tuple[str, str, str], tuple[str, str]] = {}
        made: dict[tuple[str, str, str], datetime] = {}
        seen: set[str] = set()
        with self._vault.reading() as session:
            for trial, its_stock, side, its_printer, reading, made_at in session.execute(asked):
                if trial in seen:
                    continue
                seen.add(trial)
                card = (its_stock, side, its_printer)
                if card not in newest or made_at >= made[card]:
                    newest[card], made[card] = (trial, reading), made_at
        return tuple(newest.values())


def _counts() -> ColumnElement[bool]:
    """The reading stands, and is one of a real print."""
    return and_(reading_stands(), ~is_practice(TrialRow.id))


def _of_placement() -> ColumnElement[bool]:
    """A placement's reading, found by its trial: so that the narrow index of readings answers."""
    return and_(ReadingRow.trial == PlacementRow.trial, ReadingRow.seq == PlacementRow.reading_seq)
