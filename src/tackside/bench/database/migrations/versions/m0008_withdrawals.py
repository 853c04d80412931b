"""What was withdrawn and put back; and verdicts told from an index by the reading that each was given on."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    op.create_table(
        "withdrawal",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("subject", sa.String(60), nullable=False),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("why", sa.String(200), nullable=True),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.String(40), nullable=False),
    )
    op.create_index(
        "ix_withdrawal_listing", "withdrawal", ["kind", "subject", "noted_at", "seq", "withdrawn"]
    )
    op.drop_index("ix_verdict_listing", "verdict")
    op.create_index("ix_verdict_listing", "verdict", ["trial", "seq", "reading", "grade", "cause"])
