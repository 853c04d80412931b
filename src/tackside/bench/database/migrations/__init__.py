"""Brings the database of a bench to the form that this version knows, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine, inspect, text
from sqlalchemy.engine import Connection

from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.server import hold_form
from tackside.bench.database.storage import HEAD, MOVED, WRITES, foreign_form, form_of
from tackside.errors import NotFound, StorageTrouble

# As Alembic makes it.
_VERSION_TABLE = (
    "CREATE TABLE alembic_version "
    "(version_num VARCHAR(32) NOT NULL, CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
)


def bring_up_to_date(engine: Engine, database: Path | str, *, create: bool = True) -> None:
    """Run the migrations that are missing, in one transaction; refuse what this version cannot know.

    Raises NotFound where the database is empty and ``create`` is False, StorageTrouble where it is no bench.
    """
    with engine.connect() as connection:
        found = _current(connection, database)
        if found == HEAD:
            return
        if found is None and not create:
            raise NotFound("database.none-there", bench=str(database))
    with engine.execution_options(**{WRITES: True}).begin() as connection:
        if found is not None and connection.dialect.name == "postgresql":
            hold_form(connection, alone=True)
        found = _current(connection, database)  # another process may have been quicker
        if found is None:
            _make_newest(connection)
        elif found != HEAD:
            _upgrade(connection)


def _make_newest(connection: Connection) -> None:
    """The tables as this version has them, at once: going through every earlier form takes five times as long.

    A test holds the two ways together.
    """
    for table in all_tables():
        table.create(connection)
    connection.execute(text(_VERSION_TABLE))
    connection.execute(text("INSERT INTO alembic_version (version_num) VALUES (:head)"), {"head": HEAD})


def seal(connection: Connection) -> None:
    """Mark the records as moved elsewhere: they stay, and are neither read nor written any more."""
    connection.execute(text("UPDATE alembic_version SET version_num = :moved"), {"moved": MOVED})


def make_form(connection: Connection, revision: str) -> None:
    """Make the tables of one revision in an empty database, as part of the connection's transaction."""
    _upgrade(connection, revision)


def upgrade_form(connection: Connection) -> None:
    """Bring an earlier form to this version's, as part of the connection's transaction."""
    _upgrade(connection)


def knows(revision: str) -> bool:
    return revision in _known()


def _current(connection: Connection, database: Path | str) -> str | None:
    """The form the database is in, None for an empty one. Raises StorageTrouble for one that is none of ours."""
    found = form_of(connection)
    if found is None and inspect(connection).get_table_names():
        raise StorageTrouble("database.another-kind", bench=str(database))
    require_known_form(found, database)
    return found


def require_known_form(found: str | None, database: Path | str) -> None:
    """Raise StorageTrouble where a database was moved, or ``found`` is a newer form; None is that of an empty one."""
    if found not in (None, HEAD) and (found == MOVED or found not in _known()):
        raise foreign_form(database, found)


def _known() -> set[str]:
    from alembic.script import ScriptDirectory  # slow to import, and seldom needed

    return {script.revision for script in ScriptDirectory(str(Path(__file__).parent)).walk_revisions()}


def _upgrade(connection: Connection, revision: str = HEAD) -> None:
    from alembic import command  # slow to import, and seldom needed
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.set_main_option("path_separator", "newline")
    config.attributes["connection"] = connection
    command.upgrade(config, revision)
