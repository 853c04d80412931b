"""For profiles and pictures: which kept files are what."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    for kind in ("profile", "picture"):
        op.create_table(
            kind,
            sa.Column("seq", sa.Integer(), primary_key=True, autoincrement=True),
            sa.Column("body", sa.JSON(), nullable=False),
            sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
            sa.Column("source_sha256", sa.String(64), nullable=True),
            sa.Column("version", sa.String(40), nullable=False),
            sa.Column("sha256", sa.String(64), nullable=False),
            sa.Column("name", sa.String(255), nullable=False),
            sa.Column("title", sa.String(255), nullable=False),
            sa.UniqueConstraint("sha256", name=f"uq_{kind}_sha256"),
        )
