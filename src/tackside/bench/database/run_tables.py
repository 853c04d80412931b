"""The tables of runs: orders as planned, sheets counted, jobs sent, ink changed. Rows are never overwritten."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from tackside.bench.database.tables import Kept


class RunRow(Kept):
    __tablename__ = "run"
    __table_args__ = (UniqueConstraint("id", name="uq_run_id"),)

    id: Mapped[str] = mapped_column(String(40))
    name: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime]


class TallyRow(Kept):
    __tablename__ = "tally"
    __table_args__ = (
        Index("ix_tally_run_seq", "run", "seq"),
        Index("ix_tally_stock_printer", "stock", "printer", "kind", "run", "batch", "sheets"),
    )

    run: Mapped[str] = mapped_column(ForeignKey("run.id", name="fk_tally_run"))
    batch: Mapped[int]
    stock: Mapped[str] = mapped_column(String(80))
    printer: Mapped[str] = mapped_column(String(80))
    kind: Mapped[str] = mapped_column(String(10))
    sheets: Mapped[int]
    made_at: Mapped[datetime]


class PrintJobRow(Kept):
    """A job as it stood at one time; the newest row of a ``number`` holds."""

    __tablename__ = "print_job"
    __table_args__ = (
        Index("ix_print_job_run_seq", "run", "seq"),
        Index("ix_print_job_number_seq", "number", "seq"),
    )

    number: Mapped[int]
    run: Mapped[str | None] = mapped_column(ForeignKey("run.id", name="fk_print_job_run"))
    printer: Mapped[str] = mapped_column(String(80))
    state: Mapped[str] = mapped_column(String(20))
    made_at: Mapped[datetime]


class InkChangeRow(Kept):
    __tablename__ = "ink_change"
    __table_args__ = (Index("ix_ink_change_printer_made_at", "printer", "made_at"),)

    printer: Mapped[str] = mapped_column(String(80))
    ink: Mapped[str] = mapped_column(String(40))
    made_at: Mapped[datetime]
