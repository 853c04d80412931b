"""The database's form: brought up whole or not at all, never guessed at."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text
from sqlalchemy.engine import Connection

from tackside.bench.database import migrations
from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.storage import HEAD, WRITES, connect, sqlite_url
from tackside.bench.location import place_of
from tackside.bench.store import Bench
from tackside.errors import StorageTrouble
from tackside.messages.message import Message
from tests.bench import invented
from tests.refusals import refused


def test_the_code_knows_the_newest_migration() -> None:
    folder = Path(migrations.__file__).parent
    assert ScriptDirectory(str(folder)).get_heads() == [HEAD]


def test_the_migrations_make_the_tables_that_the_code_reads(bench: Bench) -> None:
    where = place_of(bench.folder).url or sqlite_url(bench.folder / "bench.sqlite")
    with connect(where).connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, all_tables()[0].metadata) == []


def test_going_through_every_form_makes_the_same_tables_as_making_the_newest(tmp_path: Path) -> None:
    """SQLite's own words for what there is; their columns may stand in another order, as later ones were added."""
    Bench.open(tmp_path / "new")
    database = tmp_path / "grown.sqlite"
    with connect(sqlite_url(database)).execution_options(**{WRITES: True}).begin() as connection:
        migrations.make_form(connection, HEAD)
    with connect(sqlite_url(database)).connect() as grown:
        context = MigrationContext.configure(grown, opts={"compare_type": True})
        assert compare_metadata(context, all_tables()[0].metadata) == []
    assert _shape(database) == _shape(tmp_path / "new" / "bench.sqlite")


def _shape(database: Path) -> dict[str, object]:
    """Of each table its columns (kind, whether it may be empty, its place in the key), indexes and references."""
    with sqlite3.connect(database) as connection:
        tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        shape: dict[str, object] = {
            table: (
                sorted(row[1:] for row in connection.execute(f"PRAGMA table_info({table})")),
                sorted(
                    (
                        row[2],
                        row[3],
                        tuple(each[2] for each in connection.execute(f"PRAGMA index_info({row[1]})")),
                    )
                    for row in connection.execute(f"PRAGMA index_list({table})")
                ),
                sorted(row[2:] for row in connection.execute(f"PRAGMA foreign_key_list({table})")),
            )
            for table in tables
        }
    connection.close()
    return shape


def test_why_a_job_failed_is_kept_from_an_earlier_form(bench: Bench) -> None:
    failed, waits = bench.jobs.add("sheet", {"number": 1}), bench.jobs.add("sheet", {"number": 2})
    where = place_of(bench.folder).url or sqlite_url(bench.folder / "bench.sqlite")
    with connect(where).execution_options(**{WRITES: True}).begin() as connection:  # the form that 0006 left
        for step in invented.WITHOUT_DIGESTS:
            connection.execute(text(step))
        connection.execute(text("ALTER TABLE job DROP COLUMN fault"))
        connection.execute(text("ALTER TABLE job ADD COLUMN what TEXT"))
        connection.execute(text("ALTER TABLE job ADD COLUMN mend TEXT"))
        told = {"what": "boats.jpg is damaged", "mend": "export it again", "job": failed.id}
        connection.execute(
            text("UPDATE job SET state = 'failed', what = :what, mend = :mend WHERE id = :job"), told
        )
        connection.execute(text("DROP TABLE withdrawal"))
        connection.execute(text("DROP TABLE practice"))
        connection.execute(text("UPDATE alembic_version SET version_num = '0006'"))
    again = Bench.open(bench.folder).jobs
    fault = again.get(failed.id).fault
    assert fault == Message("said.fault", what="boats.jpg is damaged", fix="export it again")
    assert str(fault) == "boats.jpg is damaged; export it again"
    assert (again.get(waits.id).fault, again.get(waits.id).state) == (None, "queued")


def test_an_upgrade_that_fails_leaves_the_database_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(step: str) -> None:
        done = getattr(migrations, step)

        def interrupted(connection: Connection) -> None:
            done(connection)
            raise KeyboardInterrupt

        with monkeypatch.context() as patched:
            patched.setattr(migrations, step, interrupted)
            with pytest.raises(KeyboardInterrupt):
                Bench.open(tmp_path)

    def tables() -> list[tuple[str]]:
        database = sqlite3.connect(tmp_path / "bench.sqlite")
        found = database.execute("SELECT sql FROM sqlite_master ORDER BY name").fetchall()
        database.close()
        return found

    interrupt("_make_newest")
    assert tables() == []
    with connect(sqlite_url(tmp_path / "bench.sqlite")).execution_options(**{WRITES: True}).begin() as old:
        migrations.make_form(old, "0009")
    before = tables()
    interrupt("_upgrade")
    assert tables() == before
    assert Bench.open(tmp_path).stocks.list() == ()


def test_a_bench_made_by_a_newer_version_is_refused_and_not_touched(tmp_path: Path) -> None:
    Bench.open(tmp_path).stocks.add(invented.stock())
    database = sqlite3.connect(tmp_path / "bench.sqlite")
    database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.commit()
    with refused(StorageTrouble, "database.newer"):
        Bench.open(tmp_path)
    assert database.execute("SELECT version_num FROM alembic_version").fetchall() == [("9999",)]
    database.close()


def test_a_record_that_a_newer_version_wrote_is_refused_and_not_touched(tmp_path: Path) -> None:
    """As if a field joined a record without a new form of the tables."""
    bench = Bench.open(tmp_path)
    bench.stocks.add(invented.stock())
    with contextlib.closing(sqlite3.connect(tmp_path / "bench.sqlite")) as database, database:
        database.execute("UPDATE stock SET body = json_set(body, '$.scent', 'lavender')")
    with refused(StorageTrouble, "bench.record-newer"):
        bench.stocks.get(invented.stock().name)


def test_a_database_of_another_kind_is_refused_and_not_touched(tmp_path: Path) -> None:
    database = sqlite3.connect(tmp_path / "bench.sqlite")
    database.execute("CREATE TABLE recipes (name TEXT)")
    database.commit()
    with refused(StorageTrouble, "database.another-kind"):
        Bench.open(tmp_path)
    assert database.execute("SELECT name FROM sqlite_master").fetchall() == [("recipes",)]
    database.close()


def test_an_empty_file_left_by_an_interrupted_start_becomes_a_bench(tmp_path: Path) -> None:
    (tmp_path / "bench.sqlite").touch()
    assert Bench.open(tmp_path, create=False).stocks.list() == ()


def test_the_database_is_in_wal_mode(tmp_path: Path) -> None:
    Bench.open(tmp_path)
    database = sqlite3.connect(tmp_path / "bench.sqlite")
    assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    database.close()


@pytest.mark.parametrize("name", ["a folder", "50%", "Möwe", "it's; DROP"])
def test_a_bench_may_lie_in_a_folder_of_any_name(tmp_path: Path, name: str) -> None:
    Bench.open(tmp_path / name).stocks.add(invented.stock())
    assert Bench.open(tmp_path / name, create=False).stocks.revision("Harbour Satin 300") == 1
