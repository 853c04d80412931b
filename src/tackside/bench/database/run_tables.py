"""The tables of runs: orders as planned, sheets counted, jobs sent, ink changed. Rows are never overwritten."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Integer, String, Table, UniqueConstraint

from tackside.bench.database.tables import METADATA, UtcDateTime, filled, of_record

RUN = Table(
    "run",
    METADATA,
    filled("id", String(40)),
    filled("name", String(80)),
    filled("made_at", UtcDateTime),
    *of_record(),
    UniqueConstraint("id", name="uq_run_id"),
)

TALLY = Table(
    "tally",
    METADATA,
    filled("run", ForeignKey("run.id", name="fk_tally_run")),
    filled("batch", Integer),
    filled("stock", String(80)),
    filled("printer", String(80)),
    filled("kind", String(10)),
    filled("sheets", Integer),
    filled("made_at", UtcDateTime),
    *of_record(),
    Index("ix_tally_run_seq", "run", "seq"),
    Index("ix_tally_stock_printer", "stock", "printer", "kind", "run", "batch", "sheets"),
)

# A job as it stood at one time; the newest row of a ``number`` holds.
PRINT_JOB = Table(
    "print_job",
    METADATA,
    filled("number", Integer),
    Column("run", ForeignKey("run.id", name="fk_print_job_run")),
    filled("printer", String(80)),
    filled("state", String(20)),
    filled("made_at", UtcDateTime),
    *of_record(),
    Index("ix_print_job_run_seq", "run", "seq"),
    Index("ix_print_job_number_seq", "number", "seq"),
)

INK_CHANGE = Table(
    "ink_change",
    METADATA,
    filled("printer", String(80)),
    filled("ink", String(40)),
    filled("made_at", UtcDateTime),
    *of_record(),
    Index("ix_ink_change_printer_made_at", "printer", "made_at"),
)
