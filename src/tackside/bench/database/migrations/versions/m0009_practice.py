"""Prints of the virtual press, to practise on, and what was guessed of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    op.create_table(
        "practice",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("source_sha256", sa.String(64), nullable=True),
        sa.Column("version", sa.String(40), nullable=False),
        sa.Column("trial", sa.String(40), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.ForeignKeyConstraint(["trial"], ["trial.id"], name="fk_practice_trial"),
    )
    op.create_index("ix_practice_trial_kind", "practice", ["trial", "kind", "seq"])
