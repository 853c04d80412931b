"""A damaged bench: what is damaged is named, all else is saved, and nothing altered passes for what was kept."""

from __future__ import annotations

import random
import shutil
import sqlite3
import zipfile
from pathlib import Path

import pytest

from tackside.bench.location import ASIDE, BenchLocation, place_of
from tackside.bench.store import Bench
from tackside.bench.transfer.backup import back_up, check_bench
from tackside.bench.transfer.exchange import export_stock
from tackside.bench.transfer.exchange_import import import_stock
from tackside.bench.transfer.move import move_bench
from tackside.bench.transfer.repair import repair
from tackside.bench.transfer.restore import restore
from tackside.errors import BadRequest, StorageTrouble, TacksideError
from tests.bench import invented
from tests.extent import drawn
from tests.refusals import refused

TRIALS = 12


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench.open(tmp_path / "bench")
    scan = tmp_path / "scan.tif"
    for number in range(TRIALS):
        scan.write_bytes(f"pixels {number}".encode() * 200)
        made.stocks.add(invented.stock(name=f"Harbour Satin {number}"), scan)
    made.printers.add(invented.printer())
    for number in range(TRIALS):
        made.trials.add(invented.trial(id=f"TRIAL{number:03}", stock=f"Harbour Satin {number}"))
    return made


def altered(bench: Bench, *statements: str) -> BenchLocation:
    """The bench after a hand, or a disk, wrote into its database."""
    with sqlite3.connect(bench.folder / "bench.sqlite") as database:
        database.execute("PRAGMA foreign_keys = OFF")
        for each in statements:
            assert database.execute(each).rowcount == 1
    database.close()
    return place_of(bench.folder)


def test_a_sound_bench_has_no_flaw(bench: Bench) -> None:
    checked = check_bench(place_of(bench.folder))
    assert (checked.flaws, checked.files) == ((), TRIALS)
    assert checked.rows == sum(bench.counts().values())


@pytest.mark.parametrize(
    ("statement", "code", "record"),
    [
        ("UPDATE stock SET weight_gsm = 301 WHERE name = 'Harbour Satin 3'", "altered", "stock Harbour Satin 3 1"),
        (
            "UPDATE stock SET body = replace(body, '148.5', '149.5') WHERE name = 'Harbour Satin 3'",
            "altered",
            "stock Harbour Satin 3 1",
        ),
        ("UPDATE stock SET body = '{\"nam' WHERE name = 'Harbour Satin 3'", "unreadable", "stock no. 4"),
        (
            "UPDATE stock SET kept_at = 'yesterday' WHERE name = 'Harbour Satin 3'",
            "unreadable",
            "stock no. 4",
        ),
        ("UPDATE stock SET name = CAST(X'FFFE41' AS TEXT) WHERE seq = 4", "unreadable", "stock no. 4"),
    ],
)  # fmt: skip
def test_one_damaged_record_costs_no_other(
    statement: str, code: str, record: str, bench: Bench, tmp_path: Path
) -> None:
    place, whole = altered(bench, statement), sum(bench.counts().values())
    told = [(flaw.code, flaw.value("record")) for flaw in check_bench(place).flaws]
    lost = [
        (f"transfer.flaw-row-{code}", record),
        # Its sheet was made for a stock that is lost.
        ("transfer.flaw-row-orphaned", "trial TRIAL003"),
        ("transfer.flaw-row-orphaned", "settings TRIAL003 1"),
    ]
    assert told == lost
    kept = back_up(place, tmp_path / "out.zip")
    assert [(flaw.code, flaw.value("record")) for flaw in kept.lacks] == lost
    assert kept.rows == whole - 3
    assert restore(tmp_path / "out.zip", place_of(tmp_path / "new")) == kept
    assert check_bench(place_of(tmp_path / "new")).flaws == ()
    with refused(StorageTrouble, "transfer.bench-damaged"):
        move_bench(place, place_of(tmp_path / "moved"))
    assert repair(place, place_of(tmp_path / "saved")) == kept
    assert [each.id for each in Bench.open(tmp_path / "saved").trials.list()] == [
        each.id for each in Bench.open(tmp_path / "new").trials.list()
    ]
    assert not list(tmp_path.glob(".tackside*"))


def test_files_that_records_name_are_missed(bench: Bench, tmp_path: Path) -> None:
    gone = next((bench.folder / "files").glob("??/*"))
    gone.unlink()
    place = place_of(bench.folder)
    for lacks in (
        check_bench(place).flaws,
        back_up(place, tmp_path / "out.zip").lacks,
        move_bench(place, place_of(tmp_path / "moved")).lacking,
        restore(tmp_path / "out.zip", place_of(tmp_path / "new")).lacks,
    ):
        assert [(flaw.code, flaw.value("sha256")) for flaw in lacks] == [
            ("transfer.flaw-file-missing", gone.name)
        ]


def test_pages_of_the_database_that_cannot_be_read(bench: Bench, tmp_path: Path) -> None:
    """SQLite's own file format (sqlite.org/fileformat2.html): a page of the table's tree overwritten."""
    database = bench.folder / "bench.sqlite"
    with sqlite3.connect(database) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        leaf = connection.execute(
            "SELECT pageno FROM dbstat WHERE name = 'trial' AND pagetype = 'leaf' ORDER BY path LIMIT 1 OFFSET 2"
        ).fetchone()
    connection.close()
    if leaf is None:
        pytest.skip("the rows lie on one page")
    data = bytearray(database.read_bytes())
    data[(leaf[0] - 1) * size : leaf[0] * size] = b"\xa5" * size
    database.write_bytes(data)
    place = place_of(bench.folder)
    codes = {flaw.code for flaw in check_bench(place).flaws}
    assert "transfer.flaw-database" in codes
    saved = repair(place, place_of(tmp_path / "saved"))
    assert saved.lacks
    assert len(Bench.open(tmp_path / "saved").trials.list()) >= TRIALS // 2
    assert len(Bench.open(tmp_path / "saved").stocks.list()) == TRIALS


def test_bytes_of_a_database_flipped_at_random(bench: Bench, tmp_path: Path) -> None:
    """Whatever is flipped: one line, or a backup of which every record is as it was kept."""
    database, chance = bench.folder / "bench.sqlite", random.Random(20261129)
    with sqlite3.connect(database) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    whole = database.read_bytes()
    stocks = {each.name: each for each in bench.stocks.list()}
    trials = {each.id: each for each in bench.trials.list()}
    refusals = saved = 0
    for number in range(DRAWN := drawn(20, 60)):
        data = bytearray(whole)
        for _ in range(chance.choice((1, 4, 40))):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        for left in bench.folder.glob("bench.sqlite*"):
            left.unlink()
        database.write_bytes(data)
        try:
            back_up(place_of(bench.folder), tmp_path / f"{number}.zip")
        except TacksideError:
            refusals += 1
            assert not (tmp_path / f"{number}.zip").exists()
            continue
        restore(tmp_path / f"{number}.zip", place_of(tmp_path / f"new{number}"))
        again = Bench.open(tmp_path / f"new{number}")
        assert all(stocks[each.name] == each for each in again.stocks.list())
        assert all(trials[each.id] == each for each in again.trials.list())
        saved += 1
    assert saved > DRAWN / 2
    assert refusals < DRAWN / 2


@pytest.mark.parametrize("kind", ["backup", "archive"])
def test_damaged_archives_are_refused_and_leave_nothing(kind: str, bench: Bench, tmp_path: Path) -> None:
    good, chance = tmp_path / "good.zip", random.Random(5)
    if kind == "backup":
        back_up(place_of(bench.folder), good)
    else:
        export_stock(bench, "Harbour Satin 1", good)
    whole = good.read_bytes()
    refusals = 0
    for number in range(DRAWN := drawn(40, 150)):
        data = bytearray(whole)
        for _ in range(chance.choice((1, 3, 30))):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        bad, new = tmp_path / "bad.zip", tmp_path / f"new{number}"
        bad.write_bytes(data)
        try:
            if kind == "backup":
                restore(bad, place_of(new))
                assert check_bench(place_of(new)).flaws == ()
            else:
                import_stock(Bench.open(new), bad)
        except TacksideError:
            refusals += 1
            assert not new.exists() or not [
                each for each in new.rglob("*") if each.is_file() and not each.name.startswith("bench.sqlite")
            ]
            if kind == "backup":
                assert not new.exists()
        shutil.rmtree(new, ignore_errors=True)
    assert refusals > DRAWN / 1.5


def test_a_restore_that_was_stopped_can_be_tried_again(bench: Bench, tmp_path: Path) -> None:
    kept = back_up(place_of(bench.folder), tmp_path / "out.zip")
    left = tmp_path / "new" / ASIDE / "files"
    left.mkdir(parents=True)
    (left / "half").write_bytes(b"x")
    shutil.copyfile(bench.folder / "bench.sqlite", left.parent / "bench.sqlite")
    assert restore(tmp_path / "out.zip", place_of(tmp_path / "new")) == kept
    assert not left.parent.exists()


def test_records_that_are_gone_are_missed_where_files_are_left(bench: Bench) -> None:
    for left in bench.folder.glob("bench.sqlite*"):
        left.unlink()
    with refused(StorageTrouble, "database.emptied"):
        Bench.open(bench.folder)
    (bench.folder / "bench.sqlite").write_bytes(b"")
    with refused(StorageTrouble, "database.emptied"):
        Bench.open(bench.folder)


def test_a_bench_is_not_repaired_into_itself(bench: Bench) -> None:
    with refused(BadRequest, "transfer.same-place"):
        repair(place_of(bench.folder), place_of(bench.folder))


def test_a_damaged_file_goes_into_the_backup_as_it_is(bench: Bench, tmp_path: Path) -> None:
    """Half a scan may be all that there is: it is in the archive, and no restore takes it for the whole one."""
    hurt = next((bench.folder / "files").glob("??/*"))
    hurt.write_bytes(hurt.read_bytes()[:100])
    back_up(place_of(bench.folder), tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as archive:
        assert len(archive.read(f"files/{hurt.name}")) == 100
    restored = restore(tmp_path / "out.zip", place_of(tmp_path / "new"))
    assert restored.files == TRIALS - 1
