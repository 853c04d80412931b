"""A bench on each kind of database: what holds for one must hold for the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import make_url

from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.storage import HEAD, MOVED
from tackside.bench.location import BenchLocation, point_to
from tackside.bench.store import Bench
from tests.postgres import Server, running


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A running PostgreSQL, one for all tests of this process."""
    with running() as found:
        if found is None:
            pytest.skip("no PostgreSQL here")
        yield found


@pytest.fixture(scope="session")
def spare() -> list[str]:
    """Databases that have their tables and no rows: emptying one is quicker than making one."""
    return []


@pytest.fixture
def on_server(server: Server, spare: list[str], tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Makes folders whose records lie in a database of the server that holds none yet."""
    used: list[str] = []

    def make(name: str) -> Path:
        folder = tmp_path / name
        folder.mkdir()
        database = spare.pop() if spare else server.fresh()
        used.append(database)
        point_to(BenchLocation(folder, make_url(server.url(database))))
        return folder

    yield make
    for database in used:
        if _form_of(server, database) not in (HEAD, MOVED):  # none yet, or another version's
            continue
        emptied = ", ".join(f'"{table.name}"' for table in all_tables())
        server.run(
            f"TRUNCATE {emptied} RESTART IDENTITY; UPDATE alembic_version SET version_num = '{HEAD}'",
            database,
        )
        spare.append(database)


def _form_of(server: Server, database: str) -> str:
    if server.run("SELECT to_regclass('alembic_version') IS NOT NULL", database) != "t":
        return ""
    return server.run("SELECT version_num FROM alembic_version", database)


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The folder of a bench that is still empty, on each kind of database."""
    if request.param == "sqlite":
        return tmp_path / "bench"
    made: Path = request.getfixturevalue("on_server")("bench")
    return made


@pytest.fixture
def bench(place: Path) -> Bench:
    return Bench.open(place)
