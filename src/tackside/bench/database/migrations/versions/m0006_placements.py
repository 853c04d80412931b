"""For cards: where each reading's print fell, beside its way of printing, and an index that readings are told from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.engine import Connection

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    placement = op.create_table(
        "placement",
        sa.Column("reading_seq", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("trial", sa.String(40), nullable=False),
        sa.Column("stock", sa.String(80), nullable=False),
        sa.Column("printer", sa.String(80), nullable=False),
        sa.Column("feed", sa.Text(), nullable=False),
        sa.Column("side", sa.String(10), nullable=False),
        sa.Column("width_mm", sa.Double(), nullable=False),
        sa.Column("height_mm", sa.Double(), nullable=False),
        sa.Column("borderless", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["reading_seq"], ["reading.seq"], name="fk_placement_reading"),
        sa.ForeignKeyConstraint(["trial"], ["trial.id"], name="fk_placement_trial"),
    )
    op.create_index("ix_placement_listing", "placement", ["stock", "printer", "reading_seq"])
    op.create_index("ix_reading_listing", "reading", ["trial", "seq", "kind", "made_at", "id"])
    known = _known(op.get_bind())
    if known:
        op.bulk_insert(placement, known)


def _known(connection: Connection) -> list[dict[str, object]]:
    """What readings kept so far tell. The database itself picks it out: opening 2,000 of them would take a minute."""
    tables = sa.MetaData()
    tables.reflect(connection, only=("trial", "reading"))
    trial, reading = tables.tables["trial"], tables.tables["reading"]
    found = connection.execute(
        sa.select(
            reading.c.seq.label("reading_seq"),
            trial.c.id.label("trial"),
            trial.c.stock,
            trial.c.printer,
            trial.c.body["feed"].label("feed"),
            trial.c.side,
            trial.c.body[("sheet", "size_mm")].label("size_mm"),
            trial.c.body[("sheet", "borderless")].label("borderless"),
            reading.c.made_at,
            reading.c.body["placement"].label("body"),
        )
        .join(trial, trial.c.id == reading.c.trial)
        .order_by(reading.c.seq)
    )
    rows = []
    for row in found.mappings():
        if row["body"] is not None:
            width, height = row["size_mm"]
            told = {name: value for name, value in row.items() if name != "size_mm"}
            rows.append({**told, "width_mm": width, "height_mm": height})
    return rows
