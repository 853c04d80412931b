"""Every table that this version declares, whichever module declares it: for what counts or copies a whole bench."""

from __future__ import annotations

import sqlalchemy

# Loading these declares their tables.
from tackside.bench.database import asset_tables, run_tables
from tackside.bench.database.tables import Table

assert {asset_tables.ProfileRow.metadata, run_tables.RunRow.metadata} == {Table.metadata}


def all_tables() -> tuple[sqlalchemy.Table, ...]:
    """The tables, those that others point at first."""
    return tuple(Table.metadata.sorted_tables)
