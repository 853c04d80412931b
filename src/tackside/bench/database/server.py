"""A bench on PostgreSQL: transactions that behave as they do on SQLite, and what the server's refusals mean.

Writers take turns, by one advisory lock, as SQLite's writers do: what is counted and then written is never
counted twice. Readers see the database as it was when they began.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import URL, Engine, NullPool, create_engine, event, text
from sqlalchemy.engine import Connection
from sqlalchemy.exc import NoSuchModuleError

from tackside.errors import StorageTrouble

# "tackside" as a number: the lock that writers of one database take. Other programs' locks have other numbers.
WRITERS_LOCK = int.from_bytes(b"tackside", "big")
CONNECT_SECONDS = 10

# The class or code of an SQLSTATE (PostgreSQL manual, appendix A) → the code of what is wrong. The longest wins.
_REFUSALS: dict[str, str] = {
    "08": "database.out-of-reach",
    "28": "database.wrong-password",
    "3D": "database.not-on-server",
    "25006": "database.server-read-only",
    "42501": "database.no-rights",
    "53": "database.server-full",
    "55P03": "database.in-use",
    "57": "database.server-stopping",
    "58": "database.server-disk",
    "XX": "database.server-damaged",
}


def connect_to_server(url: URL, wait_seconds: float, writes: str) -> Engine:
    """An engine whose transactions write only where their connection has the option ``writes``.

    Raises StorageTrouble where the driver is not installed.
    """
    try:
        engine = create_engine(url, poolclass=NullPool, connect_args={"connect_timeout": CONNECT_SECONDS})
    except (ModuleNotFoundError, NoSuchModuleError, ImportError) as error:
        raise StorageTrouble("database.no-driver") from error

    def begin(connection: Connection) -> None:
        options: dict[str, Any] = dict(connection.get_execution_options())
        if not options.get(writes):
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            return
        # A record that was confirmed survives a power cut, whatever the server does by default.
        connection.exec_driver_sql(
            f"SET LOCAL lock_timeout = {int(wait_seconds * 1000)}; SET LOCAL synchronous_commit = on"
        )
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS_LOCK})")

    event.listen(engine, "begin", begin)
    return engine


def refusal_of_server(error: BaseException | None, database: object) -> StorageTrouble:
    """What the driver's error means. ``database`` is how the message names it."""
    state = getattr(error, "sqlstate", None) or ""
    said = " ".join(str(error).split())[:300]
    for length in (5, 2):
        if state[:length] in _REFUSALS:
            return StorageTrouble(_REFUSALS[state[:length]], bench=str(database))
    if not state:  # the connection failed, or was lost: there is no answer that could have a code
        return StorageTrouble("database.connection-lost", bench=str(database), said=said)
    return StorageTrouble("database.server-refuses", bench=str(database), said=said)


def hold_form(connection: Connection, *, alone: bool = False) -> None:
    """Keep the form of the tables as it is until the transaction ends; ``alone``, to change it when all have let go.

    A transaction sees the rows as they were when it began, but the tables as they are: one that is altered under it can
    look empty (https://www.postgresql.org/docs/current/mvcc-caveats.html). It must be the first statement: any other
    fixes what is seen before the lock is had (https://www.postgresql.org/docs/current/sql-lock.html).
    """
    mode = "ACCESS EXCLUSIVE" if alone else "ACCESS SHARE"
    connection.exec_driver_sql(f"LOCK TABLE alembic_version IN {mode} MODE")


def require_unicode(connection: Connection, database: object) -> None:
    """Raise StorageTrouble where the database cannot hold every letter."""
    encoding = connection.execute(text("SHOW server_encoding")).scalar_one()
    if encoding != "UTF8":
        raise StorageTrouble("database.not-unicode", bench=str(database), encoding=encoding)
