"""Every table that this version declares, whichever module declares it: for what counts or copies a whole bench."""

from __future__ import annotations

from sqlalchemy import Table

from tackside.bench.database import asset_tables, run_tables
from tackside.bench.database.tables import METADATA

# Loading these declares their tables.
assert {asset_tables.PROFILE.metadata, run_tables.RUN.metadata} == {METADATA}


def all_tables() -> tuple[Table, ...]:
    """The tables, those that others point at first."""
    return tuple(METADATA.sorted_tables)
