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

_AGAIN = "nothing was changed; run this again when it is back"
_ASK = "ask whoever keeps the server"
# The class or code of an SQLSTATE (PostgreSQL manual, appendix A) → what is wrong, and the mend. The longest wins.
_REFUSALS: dict[str, tuple[str, str]] = {
    "08": ("cannot be reached", _AGAIN),
    "28": ("refuses this user or password", "check both; a password may stand in ~/.pgpass or PGPASSWORD"),
    "3D": (
        "does not exist on that server",
        "make it first: createdb --template=template0 --encoding=UTF8 NAME",
    ),
    "25006": ("can only be read", "name the server that takes writes"),
    "42501": ("does not give this user the rights", f"{_ASK} for the right to read and write in it"),
    "53": ("has no room or no free connection", f"nothing was changed; {_ASK}"),
    "55P03": (
        "is in use by another program",
        "wait until the other program has finished, then run this again",
    ),
    "57": ("is being stopped or started", _AGAIN),
    "58": ("cannot be read or written: the server's disk refuses", _ASK),
    "XX": ("is damaged", f"{_ASK}, and restore the last backup: tackside bench restore"),
}


def connect_to_server(url: URL, wait_seconds: float, writes: str) -> Engine:
    """An engine whose transactions write only where their connection has the option ``writes``.

    Raises StorageTrouble where the driver is not installed.
    """
    try:
        engine = create_engine(url, poolclass=NullPool, connect_args={"connect_timeout": CONNECT_SECONDS})
    except (ModuleNotFoundError, NoSuchModuleError, ImportError) as error:
        raise StorageTrouble(
            "a bench on PostgreSQL needs the driver psycopg", "install it: pip install 'tackside[postgres]'"
        ) from error

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
    reason = " ".join(str(error).split())[:300]
    for length in (5, 2):
        if state[:length] in _REFUSALS:
            what, mend = _REFUSALS[state[:length]]
            return StorageTrouble(f"the bench {database} {what}", mend)
    if not state:  # the connection failed, or was lost: there is no answer that could have a code
        return StorageTrouble(f"the bench {database} cannot be reached ({reason})", _AGAIN)
    return StorageTrouble(f"the bench {database} refuses: {reason}", _ASK)


def require_unicode(connection: Connection, database: object) -> None:
    """Raise StorageTrouble where the database cannot hold every letter."""
    encoding = connection.execute(text("SHOW server_encoding")).scalar_one()
    if encoding != "UTF8":
        raise StorageTrouble(
            f"the database {database} is in {encoding} and cannot hold every letter",
            "make a new one: createdb --template=template0 --encoding=UTF8 NAME",
        )
