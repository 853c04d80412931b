"""Brings the database of a bench to the form that this version knows, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine, inspect, text
from sqlalchemy.engine import Connection

from tackside.bench.storage import WRITES
from tackside.errors import StorageTrouble

# The revision in ``versions/`` that this code reads and writes; a test holds the two together.
HEAD = "0001"


def bring_up_to_date(engine: Engine, database: Path) -> None:
    """Run the migrations that are missing, in one transaction; refuse what this version cannot know."""
    with engine.connect() as connection:
        if _current(connection, database) == HEAD:
            return
    with engine.execution_options(**{WRITES: True}).begin() as connection:
        if _current(connection, database) != HEAD:  # another process may have been quicker
            _upgrade(connection)


def _current(connection: Connection, database: Path) -> str | None:
    """The revision the database is at, None for an empty one."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    found = None
    if "alembic_version" in tables:
        found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()
    if found is None:
        raise StorageTrouble(
            f"{database} is a database of another kind, not a bench", "name another folder with --bench"
        )
    if found != HEAD and found not in _known():
        raise StorageTrouble(
            f"the bench {database} was made by a newer Tackside (its form is {found}, this one knows {HEAD})",
            "install the newer version; nothing was changed",
        )
    return str(found)


def _known() -> set[str]:
    from alembic.script import ScriptDirectory  # slow to import, and seldom needed

    return {script.revision for script in ScriptDirectory(str(Path(__file__).parent)).walk_revisions()}


def _upgrade(connection: Connection) -> None:
    from alembic import command  # slow to import, and seldom needed
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.set_main_option("path_separator", "newline")
    config.attributes["connection"] = connection
    command.upgrade(config, HEAD)
