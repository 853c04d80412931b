"""Disks that are full, databases that are damaged, processes that die: one line, and records intact."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tackside.bench.database import storage
from tackside.bench.store import Bench
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import TEMPORARY_PREFIX
from tests.bench import invented

Prepare = Callable[[sqlite3.Connection, object], None]


def pragma(monkeypatch: pytest.MonkeyPatch, statement: str) -> None:
    """Have every connection that follows behave as SQLite does in trouble."""
    prepare: Prepare = storage._prepare_sqlite

    def prepare_for_trouble(connection: sqlite3.Connection, record: object) -> None:
        prepare(connection, record)
        connection.execute(statement)

    monkeypatch.setattr(storage, "_prepare_sqlite", prepare_for_trouble)


def test_a_bench_that_is_not_there_is_not_made_by_asking(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match=r"no bench in .*--bench"):
        Bench.open(tmp_path / "nowhere", create=False)
    assert not (tmp_path / "nowhere").exists()


def test_a_file_in_the_benchs_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bench").write_bytes(b"")
    for create in (True, False):
        with pytest.raises(StorageTrouble, match="is a file, not a folder"):
            Bench.open(tmp_path / "bench", create=create)
    with pytest.raises(StorageTrouble, match="a file, not a folder"):
        Bench.open(tmp_path / "bench" / "inner")


def test_a_locked_bench_says_to_wait(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(storage, "WAIT_SECONDS", 0.05)
    bench = Bench.open(tmp_path)
    other = sqlite3.connect(tmp_path / "bench.sqlite", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        assert bench.stocks.list() == ()  # reading goes on while another writes
        with pytest.raises(StorageTrouble, match="in use by another program; wait"):
            bench.stocks.add(invented.stock())
    finally:
        other.close()
    assert bench.stocks.add(invented.stock()).is_new


@pytest.mark.parametrize("garbage", [b"not a database at all, but long enough to be one" * 40, b"SQLite"])
def test_a_damaged_bench_says_to_restore_it(tmp_path: Path, garbage: bytes) -> None:
    (tmp_path / "bench.sqlite").write_bytes(garbage)
    with pytest.raises(StorageTrouble, match=r"damaged.*restore bench\.sqlite"):
        Bench.open(tmp_path)
    assert (tmp_path / "bench.sqlite").read_bytes() == garbage


def test_a_bench_damaged_in_the_middle_says_to_restore_it(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path)
    for number in range(40):
        bench.stocks.add(invented.stock(notes=f"{number}" * 400))
    database = tmp_path / "bench.sqlite"
    data = bytearray(database.read_bytes())
    data[4096:] = b"\xaa" * (len(data) - 4096)
    database.write_bytes(bytes(data))
    with pytest.raises(StorageTrouble, match="damaged"):
        Bench.open(tmp_path).stocks.list()


def test_a_bench_that_can_only_be_read_is_read_and_refuses_to_write(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Bench.open(tmp_path).stocks.add(invented.stock())
    pragma(monkeypatch, "PRAGMA query_only = ON")
    bench = Bench.open(tmp_path)
    assert bench.stocks.get("Harbour Satin 300") == invented.stock()
    with pytest.raises(StorageTrouble, match="can only be read; allow writing"):
        bench.stocks.add(invented.stock(notes="new"))


def test_a_database_with_no_room_to_grow_says_so_and_keeps_its_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Bench.open(tmp_path).stocks.add(invented.stock())
    with monkeypatch.context() as patched:
        pragma(patched, "PRAGMA max_page_count = 1")  # SQLite never goes below the present size
        bench = Bench.open(tmp_path)
        with pytest.raises(StorageTrouble, match="disk is full; free some space"):
            bench.stocks.add(invented.stock(name="Large", notes="x" * 10_000))
    again = Bench.open(tmp_path)
    assert [each.name for each in again.stocks.list()] == ["Harbour Satin 300"]
    assert again.stocks.add(invented.stock(name="Large")).is_new


def test_a_record_that_no_longer_holds_together_is_named(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path)
    bench.stocks.add(invented.stock())
    database = sqlite3.connect(tmp_path / "bench.sqlite")
    database.execute("""UPDATE stock SET body = '{"name": "Harbour Satin 300"}'""")
    database.commit()
    database.close()
    with pytest.raises(StorageTrouble, match="holds a stock that does not hold together"):
        bench.stocks.get("Harbour Satin 300")


def test_a_body_that_is_no_json_is_translated(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path)
    bench.stocks.add(invented.stock())
    database = sqlite3.connect(tmp_path / "bench.sqlite")
    database.execute("UPDATE stock SET body = '{'")
    database.commit()
    database.close()
    with pytest.raises(StorageTrouble, match="damaged"):
        bench.stocks.get("Harbour Satin 300")


LIMITED = """
import resource, sys
from pathlib import Path
from tackside.bench.store import Bench
from tackside.errors import StorageTrouble
from tests.bench import invented

folder, scan = Path(sys.argv[1]), Path(sys.argv[2])
bench = Bench.open(folder)
limit = 200_000
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
try:
    bench.keep_file(scan)
except StorageTrouble as error:
    print("file:", error)
try:
    for number in range(100):
        bench.stocks.add(invented.stock(notes=str(number) * 5000))
except StorageTrouble as error:
    print("record:", error)
print("kept:", number)
"""


@pytest.mark.skipif(os.name != "posix", reason="file size limits are POSIX's")
def test_a_disk_that_takes_no_more_leaves_nothing_half_written(tmp_path: Path) -> None:
    scan = tmp_path / "scan.tif"
    scan.write_bytes(b"x" * 1_000_000)
    folder = tmp_path / "bench"
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(folder), str(scan)], capture_output=True, text=True, check=True
    )
    assert "file: cannot write" in done.stdout, done.stdout
    assert "record: the bench" in done.stdout, done.stdout
    assert list((folder / "files").rglob("*")) == []
    kept = int(done.stdout.split("kept:")[1])
    history = Bench.open(folder).stocks.history("Harbour Satin 300")
    assert [each.record.notes for each in history] == [str(number) * 5000 for number in range(kept)]


FULL = """
import sys
from pathlib import Path
from tackside.files.atomic import write_atomically
from tackside.bench.store import Bench
from tackside.errors import StorageTrouble
from tests.bench import invented

disk = Path(sys.argv[1])
bench = Bench.open(disk / "bench")
try:
    for number in range(1000):
        bench.stocks.add(invented.stock(notes=str(number) * 2000))
except StorageTrouble as error:
    print("record:", error)
for write in (lambda: bench.keep_file(sys.argv[2]), lambda: write_atomically(disk / "a.pdf", b"x" * 10**6)):
    try:
        write()
    except StorageTrouble as error:
        print("file:", error)
history = bench.stocks.history("Harbour Satin 300")
print("intact:", [each.record.notes for each in history] == [str(n) * 2000 for n in range(number)])
print("left:", [each.name for each in disk.rglob("*") if each.is_file() and "sqlite" not in each.name])
"""


def test_a_disk_that_is_really_full_leaves_records_intact_and_nothing_half_written(tmp_path: Path) -> None:
    scan, disk = tmp_path / "scan.tif", tmp_path / "disk"
    scan.write_bytes(b"x" * 1_000_000)
    disk.mkdir()
    # A disk of 600 kB that only this process sees; it needs rights that not every machine gives.
    small = f"mount -t tmpfs -o size=600k tmpfs '{disk}'"
    private = ["unshare", "--mount", "sh", "-c"]
    if not shutil.which("unshare") or subprocess.run([*private, small], capture_output=True).returncode:
        pytest.skip("no small disk can be made here")
    call = f"{small} && exec '{sys.executable}' -c \"$0\" '{disk}' '{scan}'"
    done = subprocess.run([*private, call, FULL], capture_output=True, text=True, check=True)
    assert done.stdout.count("the disk is full; free some space") == 3, done.stdout
    assert "intact: True" in done.stdout
    assert "left: []" in done.stdout


STEADY = """
import sys
from pathlib import Path
from tackside.bench.store import Bench
from tests.bench import invented

folder, scan = Path(sys.argv[1]), Path(sys.argv[2])
bench = Bench.open(folder)
number = 0
while True:
    number += 1
    scan.write_bytes(str(number).encode() * 300_000)
    sha256 = bench.keep_file(scan)
    revision = bench.stocks.add(invented.stock(notes=str(number)), scan).revision
    print(revision, sha256, flush=True)
"""


@pytest.mark.skipif(os.name != "posix", reason="kill -9 is POSIX's")
@pytest.mark.parametrize("confirmed", [1, 4])
def test_a_killed_process_leaves_every_confirmed_record(tmp_path: Path, confirmed: int) -> None:
    folder, scan = tmp_path / "bench", tmp_path / "scan.tif"
    with subprocess.Popen(
        [sys.executable, "-c", STEADY, str(folder), str(scan)], stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        lines = [writer.stdout.readline() for _ in range(confirmed)]
        writer.send_signal(signal.SIGKILL)  # wherever it is in its next round
        rest = writer.stdout.read().splitlines()
    told = [line.split() for line in [*lines, *rest] if len(line.split()) == 2]
    bench = Bench.open(folder, create=False)
    history = bench.stocks.history("Harbour Satin 300")
    assert len(history) >= len(told) >= confirmed
    for (revision, sha256), kept in zip(told, history, strict=False):
        assert kept.number == int(revision)
        assert kept.source_sha256 == sha256
    for file in (folder / "files").rglob("*"):
        if file.is_file() and not file.name.startswith(TEMPORARY_PREFIX):
            assert hashlib.sha256(file.read_bytes()).hexdigest() == file.name
    database = sqlite3.connect(folder / "bench.sqlite")
    assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    database.close()


SEVERAL = """
import sys
from tackside.bench.store import Bench
from tests.bench import invented

bench = Bench.open(sys.argv[1])
for number in range(15):
    bench.stocks.add(invented.stock(notes=f"{sys.argv[2]} {number}"))
    bench.readings.add(invented.reading(None))
"""


def test_processes_share_a_bench_from_its_first_moment(place: Path) -> None:
    writers = [
        subprocess.Popen([sys.executable, "-c", SEVERAL, str(place), name], stderr=subprocess.PIPE)
        for name in "abc"
    ]
    for writer in writers:
        _, fault = writer.communicate()
        assert writer.returncode == 0, fault.decode()
    bench = Bench.open(place)
    history = bench.stocks.history("Harbour Satin 300")
    assert [each.number for each in history] == list(range(1, 46))
    ids = [reading.id for reading in bench.readings.list()]
    assert ids == [f"bare-r{number}" for number in range(1, 46)]
