"""Alembic runs this: migrate over the connection it was handed, inside that connection's transaction."""

from __future__ import annotations

from alembic import context

from tackside.bench.database.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,  # SQLite changes a table by rebuilding it
)
with context.begin_transaction():
    context.run_migrations()
