"""The first form: files, stocks, printers, trials with their settings, readings, verdicts."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


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
        "file",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(255), nullable=False),
        sa.Column("size_bytes", sa.BigInteger(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.String(40), nullable=False),
    )
    op.create_table(
        "stock",
        *_kept(),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("base", sa.String(20), nullable=False),
        sa.Column("coated", sa.String(20), nullable=False),
        sa.Column("weight_gsm", sa.Double(), nullable=True),
        sa.Column("caliper_mm", sa.Double(), nullable=True),
        sa.UniqueConstraint("name", "revision", name="uq_stock_name_revision"),
    )
    op.create_table(
        "printer",
        *_kept(),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("ink_kind", sa.String(20), nullable=False),
        sa.Column("grid_ppi", sa.Double(), nullable=False),
        sa.UniqueConstraint("name", "revision", name="uq_printer_name_revision"),
    )
    op.create_table(
        "trial",
        *_kept(),
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("combination", sa.String(64), nullable=False),
        sa.Column("stock", sa.String(80), nullable=False),
        sa.Column("stock_revision", sa.Integer(), nullable=False),
        sa.Column("printer", sa.String(80), nullable=False),
        sa.Column("printer_revision", sa.Integer(), nullable=False),
        sa.Column("side", sa.String(10), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.UniqueConstraint("id", name="uq_trial_id"),
        sa.ForeignKeyConstraint(
            ["stock", "stock_revision"], ["stock.name", "stock.revision"], name="fk_trial_stock"
        ),
        sa.ForeignKeyConstraint(
            ["printer", "printer_revision"], ["printer.name", "printer.revision"], name="fk_trial_printer"
        ),
    )
    op.create_index("ix_trial_combination", "trial", ["combination"])
    op.create_index("ix_trial_stock", "trial", ["stock"])
    op.create_index("ix_trial_printer", "trial", ["printer"])
    op.create_table(
        "settings",
        *_kept(),
        sa.Column("trial", sa.String(40), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("media_setting", sa.String(200), nullable=True),
        sa.UniqueConstraint("trial", "revision", name="uq_settings_trial_revision"),
        sa.ForeignKeyConstraint(["trial"], ["trial.id"], name="fk_settings_trial"),
    )
    op.create_table(
        "reading",
        *_kept(),
        sa.Column("id", sa.String(60), nullable=False),
        sa.Column("trial", sa.String(40), nullable=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.UniqueConstraint("id", name="uq_reading_id"),
        sa.ForeignKeyConstraint(["trial"], ["trial.id"], name="fk_reading_trial"),
    )
    op.create_index("ix_reading_trial_seq", "reading", ["trial", "seq"])
    op.create_table(
        "verdict",
        *_kept(),
        sa.Column("id", sa.String(60), nullable=False),
        sa.Column("trial", sa.String(40), nullable=True),
        sa.Column("reading", sa.String(60), nullable=True),
        sa.Column("grade", sa.String(20), nullable=False),
        sa.Column("cause", sa.String(40), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.UniqueConstraint("id", name="uq_verdict_id"),
        sa.ForeignKeyConstraint(["trial"], ["trial.id"], name="fk_verdict_trial"),
        sa.ForeignKeyConstraint(["reading"], ["reading.id"], name="fk_verdict_reading"),
    )
    op.create_index("ix_verdict_trial_seq", "verdict", ["trial", "seq"])
    op.create_index("ix_verdict_grade", "verdict", ["grade"])
