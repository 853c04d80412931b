"""The bench's database: SQLite in WAL mode, the form of its tables, transactions, and what refusals mean to a person.

A server's own ways are in ``server``; how an earlier form is brought up to date is in ``migrations``.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar
from urllib.parse import quote

from pydantic import ValidationError
from sqlalchemy import (
    URL,
    Engine,
    NullPool,
    Table,
    create_engine,
    event,
    func,
    inspect,
    make_url,
    select,
    text,
)
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from tackside import __version__
from tackside.bench.database.server import connect_to_server, hold_form, refusal_of_server
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import explain
from tackside.messages.message import Message
from tackside.records import Record

AnyRecord = TypeVar("AnyRecord", bound=Record)

# How long one process waits for another that is writing. Our own writes take milliseconds.
WAIT_SECONDS = 20.0
# An option of a connection: the transaction will write, so take the lock at once instead of half-way.
WRITES = "tackside_writes"
# The form of the tables that this code reads and writes: the last in ``migrations/versions``; a test holds the two
# together.
HEAD = "0010"
# What stands in a form's place once the records were moved to another bench.
MOVED = "moved"

# A journal's index in shared memory is 32 kB at the least (https://www.sqlite.org/walformat.html, 2.1).
_ROOM_TO_READ_BYTES = 128 * 1024
# SQLite's primary result code → the code of what is wrong.
_REFUSALS: dict[int, str] = {
    sqlite3.SQLITE_BUSY: "database.in-use",
    sqlite3.SQLITE_LOCKED: "database.in-use",
    sqlite3.SQLITE_CORRUPT: "database.damaged",
    sqlite3.SQLITE_NOTADB: "database.damaged-or-none",
    sqlite3.SQLITE_READONLY: "database.read-only",
    sqlite3.SQLITE_PERM: "database.read-only",
    sqlite3.SQLITE_CANTOPEN: "database.cannot-be-opened",
    sqlite3.SQLITE_FULL: "database.full",
    sqlite3.SQLITE_IOERR: "database.disk-refuses",
}


def connect(url: str | URL) -> Engine:
    """An engine for any database that SQLAlchemy knows; SQLite gets what it needs to be shared and durable.

    Connections are closed after use, so a bench holds nothing open between two calls.
    """
    target = make_url(url)
    if target.get_backend_name() == "postgresql":
        return connect_to_server(target, WAIT_SECONDS, WRITES)
    engine = create_engine(target, poolclass=NullPool)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _to_read_alone if "mode" in target.query else _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def sqlite_url(file: Path) -> URL:
    """The URL of a file; to be read alone where its folder, or the disk, can't be written or is full.

    SQLite reads a file in WAL mode only where it may write beside it, unless it is told that nobody changes it
    (https://www.sqlite.org/wal.html, "Read-only databases"). What another program left in the journal is then read too.
    """
    if not file.is_file() or (os.access(file.parent, os.W_OK) and not is_full(file.parent)):
        return URL.create("sqlite+pysqlite", database=str(file))
    journal = file.with_name(f"{file.name}-wal")
    left = journal.is_file() and journal.stat().st_size > 0
    told = {"mode": "ro", "uri": "true", **({} if left else {"immutable": "1"})}
    return URL.create("sqlite+pysqlite", database=f"file:{quote(str(file.absolute()))}", query=told)


def is_full(folder: Path) -> bool:
    """Whether the disk has no room even for what SQLite puts beside a file that is read; False where none can tell."""
    if not hasattr(os, "statvfs"):
        return False
    try:
        disk = os.statvfs(folder)
    except OSError:
        return False
    return disk.f_blocks > 0 and disk.f_bavail * disk.f_frsize < _ROOM_TO_READ_BYTES


@contextlib.contextmanager
def translated(database: Path | str) -> Iterator[None]:
    """Turn what SQLAlchemy, the drivers or the system raise into StorageTrouble that names ``database``."""
    try:
        yield
    except DBAPIError as error:
        raise _refusal(error.orig, database) from error
    except (SQLAlchemyError, sqlite3.Error) as error:
        raise _refusal(error, database) from error
    except ValueError as error:  # a row's body, text or moment, which SQLAlchemy or the driver could not read
        if isinstance(error, json.JSONDecodeError | UnicodeDecodeError) or _is_of_sqlalchemy(error):
            raise StorageTrouble("database.damaged", bench=str(database)) from error
        if isinstance(error, UnicodeEncodeError):  # a name in another encoding than the system's
            reason = Message("file.name-not-text")
            raise StorageTrouble("file.cannot-write", file=str(database), reason=reason) from error
        raise
    except OSError as error:
        raise explain(error, Path(database), "write") from error


def _is_of_sqlalchemy(error: BaseException) -> bool:
    """Whether it was raised in SQLAlchemy, whose parts in C leave no frame of their own."""
    step = error.__traceback__
    while step is not None and step.tb_next is not None:
        step = step.tb_next
    return step is not None and str(step.tb_frame.f_globals.get("__name__", "")).startswith("sqlalchemy")


def form_of(connection: Connection) -> str | None:
    """The form that the tables are in; None where there are none of ours."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()
    return None if found is None else str(found)


def require_same_form(connection: Connection, database: Path | str) -> None:
    """Raise StorageTrouble where another program moved the records, or brought them to another form, since they were
    opened. It holds until the connection's transaction ends: SQLite shows it the database as it was, and a server lets
    no other form begin.
    """
    if connection.dialect.name == "postgresql":
        hold_form(connection)
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()
    if found == MOVED:
        raise foreign_form(database, found)
    if found != HEAD:
        raise StorageTrouble("database.form-changed", bench=str(database), form=str(found), known=HEAD)


def foreign_form(database: Path | str, found: str | None) -> StorageTrouble:
    """What to say of a form that this version does not know."""
    if found == MOVED:
        return StorageTrouble("database.moved", bench=str(database))
    return StorageTrouble("database.newer", bench=str(database), form=found, known=HEAD)


def _refusal(error: BaseException | None, database: Path | str) -> StorageTrouble:
    if type(error).__module__.startswith("psycopg"):
        return refusal_of_server(error, database)
    code = getattr(error, "sqlite_errorcode", None)
    if code == sqlite3.SQLITE_READONLY and isinstance(database, Path) and is_full(database.parent):
        return StorageTrouble("database.full", bench=str(database))
    if isinstance(code, int) and code & 0xFF in _REFUSALS:  # the low byte is the primary code
        return StorageTrouble(_REFUSALS[code & 0xFF], bench=str(database))
    said = " ".join(str(error).split())[:200]
    return StorageTrouble("database.refuses", bench=str(database), said=said)


def _prepare_sqlite(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None  # transactions begin where we say, DDL included
    connection.execute(f"PRAGMA busy_timeout = {int(WAIT_SECONDS * 1000)}")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")  # a record that was confirmed survives a power cut
    _patiently(lambda: _use_wal(connection))


def _to_read_alone(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None
    connection.execute("PRAGMA query_only = ON")


def _use_wal(connection: sqlite3.Connection) -> None:
    """WAL is a property of the file: set it once, when it is not yet so."""
    if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        connection.execute("PRAGMA journal_mode = WAL")


def _patiently(attempt: Callable[[], None]) -> None:
    """SQLite does not wait by itself when two processes switch the journal at once."""
    deadline = time.monotonic() + WAIT_SECONDS
    while True:
        try:
            return attempt()
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                raise
            time.sleep(0.02)


def _begin_sqlite(connection: Connection) -> None:
    options: dict[str, Any] = dict(connection.get_execution_options())
    connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get(WRITES) else "BEGIN")


@dataclass(frozen=True)
class Vault:
    """The database of one bench. Transactions are short; a failed one leaves nothing behind."""

    engine: Engine
    database: Path | str

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """The database as it is at this moment.

        Raises StorageTrouble where the bench was moved elsewhere, or brought to another form, since it was opened: what
        a newer version wrote may mean something else here.
        """
        with translated(self.database), self.engine.connect() as connection:
            require_same_form(connection, self.database)
            yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """Take the write lock at once, commit at the end of the block.

        Raises StorageTrouble where the bench was moved elsewhere, or brought to another form, since it was opened.
        """
        writer = self.engine.execution_options(**{WRITES: True})
        with translated(self.database), writer.begin() as connection:
            require_same_form(connection, self.database)
            yield connection

    @contextlib.contextmanager
    def at_once(self) -> Iterator[Vault]:
        """A vault for the block alone, all of whose writing is one transaction: kept whole, or not at all."""
        with self.writing() as connection:
            yield _Joined(self.engine, self.database, connection)

    def counts(self) -> dict[str, int]:
        """How many rows each table holds."""
        from tackside.bench.database.all_tables import all_tables  # few calls need them all

        with self.reading() as connection:
            return {
                table.name: connection.scalar(select(func.count()).select_from(table)) or 0
                for table in all_tables()
            }

    def revive(self, kind: type[AnyRecord], body: dict[str, Any]) -> AnyRecord:
        """The record that a row's JSON holds. Raises StorageTrouble where it is no longer one, or not yet."""
        try:
            return kind.model_validate(body)
        except ValidationError as error:
            # A field more, and nothing else amiss: no damage leaves that.
            if all(each["type"] == "extra_forbidden" for each in error.errors(include_url=False)):
                raise StorageTrouble(
                    "bench.record-newer", bench=str(self.database), record=kind.__name__.lower()
                ) from error
            raise StorageTrouble(
                "bench.record-damaged",
                bench=str(self.database), record=kind.__name__.lower(), count=error.error_count(),
            ) from error  # fmt: skip


@dataclass(frozen=True)
class _Joined(Vault):
    """Reads and writes in a transaction that is already open."""

    connection: Connection

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        yield self.connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        yield self.connection


def kept(record: Record, source_sha256: str | None) -> dict[str, Any]:
    """The columns that every row shares: the record, when, from which file, by which version."""
    return {
        "body": record.model_dump(mode="json"),
        "kept_at": datetime.now(UTC),
        "source_sha256": source_sha256,
        "version": __version__,
    }


def require_kept(connection: Connection, table: Table, id_: str | None) -> None:
    """Raise NotFound where an id is given and no row of the table has it."""
    if id_ is not None and connection.execute(select(table.c.seq).where(table.c.id == id_)).first() is None:
        raise NotFound(f"bench.{table.name}-not-kept", id=id_)
