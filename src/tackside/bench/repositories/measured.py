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
from tackside.bench.database.tables import PLACEMENT, READING, TRIAL
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
            PLACEMENT.c.feed, PLACEMENT.c.side, PLACEMENT.c.width_mm, PLACEMENT.c.height_mm,
            PLACEMENT.c.borderless,
        )  # fmt: skip
        asked = (
            select(*way)
            .join(TRIAL, TRIAL.c.id == PLACEMENT.c.trial)
            .join(READING, _of_placement())
            .where(PLACEMENT.c.stock == stock, PLACEMENT.c.printer == printer, _counts())
            .group_by(*way)
            .order_by(func.min(TRIAL.c.seq))
        )
        with self._vault.reading() as connection:
            rows = connection.execute(asked).all()
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
            select(PLACEMENT.c.trial, PLACEMENT.c.body)
            .join(TRIAL, TRIAL.c.id == PLACEMENT.c.trial)
            .join(READING, _of_placement())
            .where(
                _counts(),
                PLACEMENT.c.stock == stock,
                PLACEMENT.c.printer == printer,
                PLACEMENT.c.feed == way.feed,
                PLACEMENT.c.side == way.side,
                PLACEMENT.c.borderless.is_(way.borderless),
                func.abs(PLACEMENT.c.width_mm - width) <= within_mm,
                func.abs(PLACEMENT.c.height_mm - height) <= within_mm,
            )
            .order_by(TRIAL.c.seq, *foremost_reading())
        )
        foremost: dict[str, dict[str, object]] = {}
        with self._vault.reading() as connection:
            for row in connection.execute(asked):
                foremost.setdefault(row.trial, row.body)
        return tuple((trial, self._vault.revive(Placement, body)) for trial, body in foremost.items())

    def last_placement(self, stock: str, printer: str) -> int:
        """A number that grows with each new reading of a stock on a printer that is placed, withdrawn later or not; 0
        while there is none."""
        asked = select(func.max(PLACEMENT.c.reading_seq)).where(
            PLACEMENT.c.stock == stock, PLACEMENT.c.printer == printer
        )
        with self._vault.reading() as connection:
            return connection.scalar(asked) or 0

    def newest(
        self, *, stock: str | None = None, printer: str | None = None, without: Collection[str] = ()
    ) -> tuple[tuple[str, str], ...]:
        """(trial, reading) ids of the newest measured reading of each stock, side and printer, in the order in which
        the first trials of the cards came; answers by eye are not measured. Of a trial the reading that stands counts.
        ``without`` the trials of these ids.
        """
        asked = (
            select(
                TRIAL.c.id,
                TRIAL.c.stock,
                TRIAL.c.side,
                TRIAL.c.printer,
                READING.c.id,
                READING.c.made_at,
            )
            .join_from(TRIAL, READING, READING.c.trial == TRIAL.c.id)
            .where(narrow(READING.c.kind) != "eye", _counts())
            .order_by(arrival(), *foremost_reading())
        )
        if stock is not None:
            asked = asked.where(narrow(TRIAL.c.stock) == stock)
        if printer is not None:
            asked = asked.where(narrow(TRIAL.c.printer) == printer)
        if without:
            asked = asked.where(TRIAL.c.id.not_in(without))
        newest: dict[tuple[str, str, str], tuple[str, str]] = {}
        made: dict[tuple[str, str, str], datetime] = {}
        seen: set[str] = set()
        with self._vault.reading() as connection:
            for trial, its_stock, side, its_printer, reading, made_at in connection.execute(asked):
                if trial in seen:
                    continue
                seen.add(trial)
                card = (its_stock, side, its_printer)
                if card not in newest or made_at >= made[card]:
                    newest[card], made[card] = (trial, reading), made_at
        return tuple(newest.values())


def _counts() -> ColumnElement[bool]:
    """The reading stands, and is one of a real print."""
    return and_(reading_stands(), ~is_practice(TRIAL.c.id))


def _of_placement() -> ColumnElement[bool]:
    """A placement's reading, found by its trial: so that the narrow index of readings answers."""
    return and_(READING.c.trial == PLACEMENT.c.trial, READING.c.seq == PLACEMENT.c.reading_seq)
