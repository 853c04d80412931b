"""A digest with each row, so that what a disk or a hand alters shows."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tackside.bench.database.tables import digest_of

revision = "0010"
down_revision = "0009"

SEALED = (
    "file", "stock", "printer", "card", "trial", "settings", "reading", "verdict", "shelving", "practice",
    "withdrawal", "profile", "picture", "run", "tally", "print_job", "ink_change",
)  # fmt: skip


def upgrade() -> None:
    for name in SEALED:
        op.add_column(name, sa.Column("digest", sa.String(64), nullable=True))
    found = sa.MetaData()
    connection = op.get_bind()
    found.reflect(connection, only=SEALED)
    for name in SEALED:
        table = found.tables[name]
        (key,) = table.primary_key.columns
        # One row at a time: a row may hold a whole sheet, and there may be thousands.
        for value in connection.scalars(sa.select(key)).all():
            row = connection.execute(sa.select(table).where(key == value)).mappings().one()
            sealed = sa.update(table).where(key == value).values(digest=digest_of(dict(row)))
            connection.execute(sealed)
