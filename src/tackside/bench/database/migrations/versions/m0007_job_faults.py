"""Why a job failed, as data: a message's code and values, and the place at fault, instead of two sentences."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    op.add_column("job", sa.Column("fault", sa.JSON(none_as_null=True), nullable=True))
    connection = op.get_bind()
    tables = sa.MetaData()
    tables.reflect(connection, only=("job",))
    job = tables.tables["job"]
    failed = connection.execute(sa.select(job.c.seq, job.c.what, job.c.mend).where(job.c.what.is_not(None)))
    for seq, what, mend in failed.fetchall():
        said = {"code": "said.fault", "values": {"what": what, "fix": mend or ""}}
        connection.execute(sa.update(job).where(job.c.seq == seq).values(fault=said))
    op.drop_column("job", "what")
    op.drop_column("job", "mend")
