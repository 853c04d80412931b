"""For runs: orders as planned, sheets counted at the printer, jobs sent to it, ink changed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def _kept() -> list[sa.Column[object]]:
    """The columns that every record's table shares."""
    return [
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("source_sha256", sa.String(64), nullable=True),
        sa.Column("version", sa.String(40), nullable=False),
    ]


def upgrade() -> None:
    op.create_table(
        "run",
        *_kept(),
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.UniqueConstraint("id", name="uq_run_id"),
    )
    op.create_table(
        "tally",
        *_kept(),
        sa.Column("run", sa.String(40), nullable=False),
        sa.Column("batch", sa.Integer(), nullable=False),
        sa.Column("stock", sa.String(80), nullable=False),
        sa.Column("printer", sa.String(80), nullable=False),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("sheets", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["run"], ["run.id"], name="fk_tally_run"),
    )
    op.create_index("ix_tally_run_seq", "tally", ["run", "seq"])
    op.create_index("ix_tally_stock_printer", "tally", ["stock", "printer", "kind", "run", "batch", "sheets"])
    op.create_table(
        "print_job",
        *_kept(),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("run", sa.String(40), nullable=True),
        sa.Column("printer", sa.String(80), nullable=False),
        sa.Column("state", sa.String(20), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["run"], ["run.id"], name="fk_print_job_run"),
    )
    op.create_index("ix_print_job_run_seq", "print_job", ["run", "seq"])
    op.create_index("ix_print_job_number_seq", "print_job", ["number", "seq"])
    op.create_table(
        "ink_change",
        *_kept(),
        sa.Column("printer", sa.String(80), nullable=False),
        sa.Column("ink", sa.String(40), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
    )
    op.create_index("ix_ink_change_printer_made_at", "ink_change", ["printer", "made_at"])
