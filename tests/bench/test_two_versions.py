"""Two versions of the program on one bench: the newer changes its form while the older has it open, or writes to it.

The older one is this version, the newer one a program of its own beside it.
"""

from __future__ import annotations

import contextlib
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import text

from tackside.bench.database import migrations
from tackside.bench.database.server import hold_form
from tackside.bench.database.storage import WRITES, connect
from tackside.bench.location import place_of
from tackside.bench.store import Bench
from tackside.bench.transfer import backup, move, restore
from tackside.cli.main import main
from tackside.errors import StorageTrouble
from tests.bench import invented
from tests.bench.newer_version import (
    FORM,
    NewerVersion,
    ended,
    form_in,
    newer_version,
    stocks_in,
    take_over,
)
from tests.refusals import refused

# Adds stocks until it is refused, half a minute at most, and says each that was confirmed; then why it ended.
WRITER = """
import sys
import time
from itertools import count
from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tests.bench import invented
bench = Bench.open(sys.argv[1])
try:
    end = time.monotonic() + 30
    for number in count():
        if time.monotonic() > end:
            sys.exit("nobody refused")
        bench.stocks.add(invented.stock(name=f"{sys.argv[2]} {number}"))
        print(f"{sys.argv[2]} {number}", flush=True)
except TacksideError as error:
    print(error.message.code, flush=True)
"""


@pytest.fixture(scope="module")
def newer(tmp_path_factory: pytest.TempPathFactory) -> NewerVersion:
    return newer_version(tmp_path_factory.mktemp("newer"))


def test_nothing_is_lost_when_the_newer_takes_over_from_programs_that_write(
    bench: Bench, newer: NewerVersion
) -> None:
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(bench.folder), name], stdout=subprocess.PIPE, text=True
        )
        for name in ("Auk", "Eider")
    ]
    with writers[0], writers[1]:
        lines = [each.stdout for each in writers if each.stdout is not None]
        confirmed = [each.readline().strip() for each in lines for _ in range(3)]
        newer.run(bench.folder)
        for each in lines:
            *told, last = each.read().splitlines()
            assert last == "database.form-changed"
            confirmed += told
    assert stocks_in(bench.folder) == dict.fromkeys(confirmed, "carried")


def test_the_newer_waits_for_what_the_older_is_writing(bench: Bench, newer: NewerVersion) -> None:
    with bench.at_once():
        taking_over = newer.begin(bench.folder)
        time.sleep(2.0)  # it needs one to come to where it must wait
        assert taking_over.poll() is None
    ended(taking_over)
    assert form_in(bench.folder) == FORM


def test_the_newer_waits_on_a_server_for_what_the_older_is_reading(
    on_server: Callable[[str], Path], newer: NewerVersion
) -> None:
    """A table that is altered under a reader could look empty to it, and a backup would hold nothing of it."""
    bench = Bench.open(on_server("bench"))
    bench.stocks.add(invented.stock())
    with bench._vault.reading():
        taking_over = newer.begin(bench.folder)
        time.sleep(2.0)
        assert taking_over.poll() is None
    ended(taking_over)
    assert stocks_in(bench.folder) == {"Harbour Satin 300": "carried"}


def test_whoever_reads_on_a_server_while_the_newer_changes_the_form_waits_and_is_told(
    on_server: Callable[[str], Path],
) -> None:
    """It would see the form as it was before the change, and the tables as they are after it."""
    bench = Bench.open(on_server("bench"))
    engine, told = connect(place_of(bench.folder).url or ""), []

    def read() -> None:
        with refused(StorageTrouble, "database.form-changed"):
            bench.stocks.list()
        told.append(True)

    reader = threading.Thread(target=read)
    with engine.execution_options(**{WRITES: True}).begin() as changing:
        hold_form(changing, alone=True)
        changing.execute(text(f"UPDATE alembic_version SET version_num = '{FORM}'"))
        reader.start()
        time.sleep(0.5)
        assert reader.is_alive()
    reader.join(timeout=30)
    assert told == [True]


def test_whoever_had_it_open_neither_reads_nor_writes(bench: Bench, newer: NewerVersion) -> None:
    bench.stocks.add(invented.stock())
    newer.run(bench.folder)
    for doing in (
        bench.stocks.list,
        bench.counts,
        lambda: bench.stocks.add(invented.stock(notes="too late")),
        lambda: bench.keep_file(__file__),
        lambda: bench.jobs.add("scan", {}),
    ):
        with refused(StorageTrouble, "database.form-changed", form=FORM):
            doing()
    assert stocks_in(bench.folder) == {"Harbour Satin 300": "carried"}


@pytest.fixture
def filled(tmp_path: Path) -> Bench:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    return bench


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the commands are called, with the file that one of them takes."""
    (tmp_path / "stock.toml").write_text(
        'name = "Eider Pearl 260"\nbase = "photo"\nopen_size_mm = [100, 130]\n', encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path)
    return tmp_path


COMMANDS = (
    ("stock", "list"),
    ("stock", "show", "Harbour Satin 300"),
    ("stock", "add", "stock.toml"),
    ("stock", "export", "Harbour Satin 300", "--out", "out.zip"),
    ("trial", "list"),
    ("bench", "show"),
    ("bench", "check"),
    ("bench", "backup", "out.zip"),
    ("bench", "move", "bench", "moved"),
    ("bench", "repair", "saved"),
)


@pytest.mark.parametrize("call", COMMANDS, ids=" ".join)
def test_a_command_that_had_it_open_ends_in_one_line(
    call: tuple[str, ...],
    filled: Bench,
    desk: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The newer one comes in the moment after this one has found the bench in its own form."""
    opened, brought_up = Bench.open, migrations.bring_up_to_date

    def open_before(*given: object, **named: object) -> Bench:
        found = opened(*given, **named)  # type: ignore[arg-type]
        take_over(found.folder)
        return found

    def bring_up_before(engine: object, database: object, **named: object) -> None:
        brought_up(engine, database, **named)  # type: ignore[arg-type]
        if Path(str(database)).absolute() == filled.folder / "bench.sqlite":
            take_over(filled.folder)

    monkeypatch.setattr(Bench, "open", open_before)
    for module in (backup, move):
        monkeypatch.setattr(module, "bring_up_to_date", bring_up_before)
    assert main(["--bench", str(filled.folder), *call]) == 2
    out, said = capsys.readouterr()
    assert out == ""
    assert "run this again with the newer version" in said.splitlines()[-1]
    assert "Traceback" not in said
    assert len([each for each in said.splitlines() if "rogress" not in each]) == 1
    assert stocks_in(filled.folder) == {"Harbour Satin 300": "carried"}
    assert form_in(filled.folder) == FORM
    assert not (desk / "out.zip").exists()


@pytest.mark.parametrize("job", ["restore", "move"])
def test_nothing_is_brought_into_a_bench_that_changed_its_form_meanwhile(
    job: str, filled: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = place_of(tmp_path / "target")
    module = {"restore": restore, "move": move}[job]
    brought_up = migrations.bring_up_to_date

    def bring_up_before(engine: object, database: object, **named: object) -> None:
        brought_up(engine, database, **named)  # type: ignore[arg-type]
        if database == target.database:
            take_over(target.folder)

    backup.back_up(place_of(filled.folder), tmp_path / "backup.zip")
    monkeypatch.setattr(module, "bring_up_to_date", bring_up_before)
    with refused(StorageTrouble, "database.form-changed"):
        if job == "restore":
            restore.restore(tmp_path / "backup.zip", target)
        else:
            move.move_bench(place_of(filled.folder), target)
    assert stocks_in(target.folder) == {}
    assert [each.name for each in filled.stocks.list()] == ["Harbour Satin 300"]


def everything_in(folder: Path) -> dict[str, tuple[int, bytes]]:
    """Of each file and folder its mode, and of a file what it holds."""
    return {
        each.relative_to(folder).as_posix(): (
            each.stat().st_mode,
            each.read_bytes() if each.is_file() else b"",
        )
        for each in (folder, *folder.rglob("*"))
    }


@pytest.mark.parametrize(
    "call",
    [
        *COMMANDS,
        ("bench", "restore", "backup.zip"),
        ("stock", "import", "stock.zip"),
        ("scan",),
        ("start", "--no-browser"),
    ],
    ids=" ".join,
)
def test_a_command_on_a_bench_of_a_newer_version_says_so_and_changes_nothing(
    call: tuple[str, ...],
    filled: Bench,
    desk: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    there = ["--bench", str(filled.folder)]
    assert main([*there, "bench", "backup", "backup.zip"]) == 0
    assert main([*there, "stock", "export", "Harbour Satin 300", "--out", "stock.zip"]) == 0
    capsys.readouterr()
    take_over(filled.folder)
    before = everything_in(desk)
    assert main([*there, *call]) == 2
    out, said = capsys.readouterr()
    assert out == ""
    assert "install the newer version; nothing was changed" in said
    assert said.count("\n") == 1
    assert everything_in(desk) == before


def test_a_restore_into_an_empty_bench_of_a_newer_version_leaves_no_file_there(
    filled: Bench, tmp_path: Path
) -> None:
    """One whose tables have the names that they have here: the form alone tells that they are another version's."""
    filled.keep_file(__file__)
    backup.back_up(place_of(filled.folder), tmp_path / "backup.zip")
    Bench.open(tmp_path / "target")
    with contextlib.closing(sqlite3.connect(tmp_path / "target" / "bench.sqlite")) as database, database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
    before = everything_in(tmp_path / "target")
    with refused(StorageTrouble, "database.newer"):
        restore.restore(tmp_path / "backup.zip", place_of(tmp_path / "target"))
    assert everything_in(tmp_path / "target") == before


def test_the_newer_one_backs_up_what_it_took_over(filled: Bench, newer: NewerVersion, tmp_path: Path) -> None:
    newer.run(filled.folder)
    newer.run(filled.folder, "bench", "backup", str(tmp_path / "backup.zip"))
    with refused(StorageTrouble, "transfer.backup-newer"):
        restore.restore(tmp_path / "backup.zip", place_of(tmp_path / "again"))
    assert not (tmp_path / "again").exists()
    newer.run(tmp_path / "again", "bench", "restore", str(tmp_path / "backup.zip"))
    assert form_in(tmp_path / "again") == FORM
