"""For cards that are made in the workbench: named, with revisions."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "card",
        sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("source_sha256", sa.String(64), nullable=True),
        sa.Column("version", sa.String(40), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("stock", sa.String(80), nullable=False),
        sa.Column("printer", sa.String(80), nullable=False),
        sa.UniqueConstraint("name", "revision", name="uq_card_name_revision"),
    )
