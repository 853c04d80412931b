"""A bench moves and comes back from a backup whole: every row and file, counted and hashed, between both kinds."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tackside.bench.database import rows
from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.storage import connect, sqlite_url
from tackside.bench.location import BenchLocation, place_of
from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.bench.transfer import move
from tackside.bench.transfer.backup import back_up
from tackside.bench.transfer.restore import restore
from tackside.errors import BadRequest, NotFound, StorageTrouble
from tackside.records.run import InkChange
from tests.bench import invented
from tests.postgres import Server
from tests.refusals import refused


@pytest.fixture
def filled(place: Path, tmp_path: Path) -> Bench:
    """A bench with one of nearly everything."""
    bench, scan = Bench.open(place), tmp_path / "scan.tif"
    scan.write_bytes(b"pixels" * 1000)
    bench.stocks.add(invented.stock(notes="drückt “fein”, 5 €"), scan)
    bench.stocks.add(invented.stock(caliper_mm=0.1 + 0.2))
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    found = bench.readings.add(invented.reading())
    bench.verdicts.add(invented.verdict(reading=found.id))
    bench.jobs.add("scan", {"file": "x"})
    bench.catalogue.archive("stock", "Harbour Satin 300")
    bench.runs.change_ink(InkChange(printer="Tern 8", ink="set", ml=60, made_at=invented.NOON))
    (bench.folder / "scanners").mkdir()
    (bench.folder / "scanners" / "flat.json").write_text("{}")
    (bench.folder / "cache").mkdir()
    (bench.folder / "cache" / "tile.jpg").write_text("made again at any time")
    return bench


def everything(where: Path) -> dict[str, tuple[int, str]]:
    found = place_of(where)
    engine = connect(found.url or sqlite_url(where / "bench.sqlite"))
    with engine.connect() as connection:
        return {table.name: rows.tally_of(connection, table).told for table in all_tables()}


@pytest.fixture(params=["sqlite", "postgresql"])
def target(request: pytest.FixtureRequest, tmp_path: Path) -> BenchLocation:
    """An empty place of each kind, where nothing has been yet."""
    if request.param == "sqlite":
        return place_of(tmp_path / "target")
    return place_of(request.getfixturevalue("on_server")("target"))


def test_a_moved_bench_holds_every_row_and_file(filled: Bench, target: BenchLocation) -> None:
    before = everything(filled.folder)
    moved = move.move_bench(place_of(filled.folder), target)
    assert everything(target.folder) == before
    assert moved.rows == {name: count for name, (count, _) in before.items()}
    assert (moved.files, moved.beside) == (1, 1)
    again = Bench.open(target.folder, create=False)
    assert again.stocks.get("Harbour Satin 300").caliper_mm == 0.1 + 0.2
    source = again.stocks.kept("Harbour Satin 300", 1).source_sha256
    assert source is not None
    assert again.file(source).read_bytes() == b"pixels" * 1000
    assert (target.folder / "scanners" / "flat.json").read_text() == "{}"
    assert not (target.folder / "cache").exists()
    assert again.stocks.add(invented.stock(notes="goes on")).revision == 3
    assert again.readings.add(invented.reading()).id == "7K3M9QPA-r2"


def test_a_moved_bench_is_sealed_even_for_those_who_had_it_open(filled: Bench, target: BenchLocation) -> None:
    move.move_bench(place_of(filled.folder), target)
    with refused(StorageTrouble, "database.moved"):
        filled.stocks.add(invented.stock(notes="too late"))
    with refused(StorageTrouble, "database.moved"):
        Bench.open(filled.folder)


def test_only_the_records_may_move_while_the_files_stay(tmp_path: Path, server: Server) -> None:
    folder = tmp_path / "studio"
    Bench.open(folder).stocks.add(invented.stock())
    url = f"{server.url(server.fresh())}&files={folder}"
    with refused(StorageTrouble, "database.folder-of-another"):
        Bench.open(url)
    move.move_bench(place_of(folder), place_of(url))
    assert Bench.open(folder, create=False).stocks.get("Harbour Satin 300") == invented.stock()
    assert "tackside@" in (folder / "bench.toml").read_text()


@pytest.mark.parametrize("stopped_at", ["_copy_files", "_copy_rows", "point_to", "seal"])
def test_a_move_that_was_stopped_goes_on(
    stopped_at: str, filled: Bench, target: BenchLocation, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    before = everything(filled.folder)
    if stopped_at == "point_to" and target.url is None:
        pytest.skip("only a server is pointed to")
    with monkeypatch.context() as patched:
        patched.setattr(move, stopped_at, stop)
        with pytest.raises(KeyboardInterrupt):
            move.move_bench(place_of(filled.folder), target)
    assert everything(filled.folder) == before
    assert (
        filled.readings.add(invented.reading()).id == "7K3M9QPA-r2" if stopped_at == "_copy_files" else True
    )
    move.move_bench(place_of(filled.folder), target)
    assert len(Bench.open(target.folder, create=False).stocks.history("Harbour Satin 300")) == 2


def test_a_place_that_holds_other_records_is_left_alone(filled: Bench, target: BenchLocation) -> None:
    Bench.open(target.folder).stocks.add(invented.stock(name="Another"))
    with refused(StorageTrouble, "transfer.other-records-there"):
        move.move_bench(place_of(filled.folder), target)
    assert [each.name for each in Bench.open(target.folder).stocks.list()] == ["Another"]
    assert filled.stocks.revision("Harbour Satin 300") == 2  # and the old one is not sealed


def test_a_bench_does_not_move_onto_itself_nor_from_nowhere(filled: Bench, tmp_path: Path) -> None:
    with refused(BadRequest, "transfer.same-place"):
        move.move_bench(place_of(filled.folder), place_of(filled.folder))
    with refused(NotFound, "transfer.nothing-to-move"):
        move.move_bench(place_of(tmp_path / "nowhere"), place_of(tmp_path / "target"))


def test_a_backup_comes_back_whole_on_either_kind(
    filled: Bench, target: BenchLocation, tmp_path: Path
) -> None:
    out = tmp_path / "bench.zip"
    kept = back_up(place_of(filled.folder), out)
    assert restore(out, target) == kept
    assert everything(target.folder) == everything(filled.folder)
    assert (target.folder / "scanners" / "flat.json").read_text() == "{}"
    found, _ = Bench.open(target.folder).catalogue.trials(ListAsked(words="satin"))
    assert [line.id for line in found] == ["7K3M9QPA"]
    with refused(StorageTrouble, "transfer.records-there-already"):
        restore(out, target)


def test_a_backup_of_an_earlier_form_is_brought_up(tmp_path: Path) -> None:
    from tackside.bench.database.migrations import make_form

    folder = tmp_path / "old"
    folder.mkdir()
    with connect(sqlite_url(folder / "bench.sqlite")).begin() as connection:
        make_form(connection, "0001")
    old = tmp_path / "old.zip"
    row = {
        "sha256": "0" * 64, "name": "x", "size_bytes": 1, "kept_at": "2026-03-01T12:00:00.000000+00:00", "version": "0",
    }  # fmt: skip
    tally = rows.RowTally()
    tally.add(rows.line_of(row))
    names = ("file", "stock", "printer", "trial", "settings", "reading", "verdict")
    counted = {name: {"rows": 0, "digest": "0" * 64} for name in names}
    counted["file"] = {"rows": 1, "digest": tally.digest}
    manifest = {
        "kind": "tackside-bench",
        "layout": 1,
        "form": "0001",
        "version": "0",
        "made_at": row["kept_at"],
    }
    with zipfile.ZipFile(old, "w") as archive:
        for name in names:
            archive.writestr(f"tables/{name}.jsonl", json.dumps(row) + "\n" if name == "file" else "")
        archive.writestr(
            "manifest.json", json.dumps({**manifest, "tables": counted, "files": [], "beside": []})
        )
    restore(old, place_of(tmp_path / "new"))
    assert Bench.open(tmp_path / "new", create=False).counts()["file"] == 1
    assert Bench.open(tmp_path / "new").runs.list() == ()


def changed(archive: Path, out: Path, change: Callable[[str, bytes], bytes | None]) -> Path:
    """A copy of an archive, each entry changed or left out."""
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            data = change(name, old.read(name))
            if data is not None:
                new.writestr(name, data)
    return out


def edit(**more: object) -> Callable[[str, bytes], bytes]:
    return lambda name, data: (
        json.dumps({**json.loads(data), **more}).encode() if name == "manifest.json" else data
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda name, data: b"other" if name.startswith("files/") else data, "damaged"),
        (lambda name, data: None if name.startswith("files/") else data, "damaged"),
        (lambda name, data: b"" if name.endswith("stock.jsonl") else data, "rows of stock are not"),
        (lambda name, data: data.replace(b"Tern", b"Turn") if "printer.jsonl" in name else data, "damaged"),
        (lambda name, data: b"{\n" if name.endswith("stock.jsonl") else data, "damaged"),
        (lambda name, data: None if name == "manifest.json" else data, "damaged, or no backup"),
        (edit(layout=2, version="9.9"), r"newer Tackside \(9.9\)"),
        (edit(form="9999"), "newer Tackside"),
        (edit(beside=[{"path": "../x", "sha256": "0" * 64}]), "outside the bench"),
        (edit(beside=[{"path": "/etc/x", "sha256": "0" * 64}]), "outside the bench"),
        (edit(beside=[{"path": "bench.sqlite", "sha256": "0" * 64}]), "outside the bench"),
        (edit(tables={}), "damaged"),
        (edit(files=["../../x"]), "damaged"),
    ],
)
def test_a_backup_that_cannot_be_trusted_writes_no_record(
    change: Callable[[str, bytes], bytes | None], said: str, tmp_path: Path
) -> None:
    bench, scan = Bench.open(tmp_path / "bench"), tmp_path / "scan.tif"
    scan.write_bytes(b"pixels")
    bench.stocks.add(invented.stock(), scan)
    bench.printers.add(invented.printer())
    back_up(place_of(tmp_path / "bench"), tmp_path / "good.zip")
    bad = changed(tmp_path / "good.zip", tmp_path / "bad.zip", change)
    with pytest.raises(StorageTrouble, match=said):
        restore(bad, place_of(tmp_path / "new"))
    assert not (tmp_path / "new").exists()
    assert not (tmp_path / "x").exists()


def test_a_file_damaged_on_disk_is_found_by_the_backup(tmp_path: Path) -> None:
    bench, scan = Bench.open(tmp_path / "bench"), tmp_path / "scan.tif"
    scan.write_bytes(b"pixels")
    bench.file(bench.keep_file(scan)).write_bytes(b"pixel\0")
    kept = back_up(place_of(tmp_path / "bench"), tmp_path / "out.zip")
    assert [(flaw.code, flaw.value("file")) for flaw in kept.lacks] == [
        ("transfer.flaw-file-damaged", "scan.tif")
    ]
    assert restore(tmp_path / "out.zip", place_of(tmp_path / "new")) == kept


@pytest.mark.parametrize("data", [b"", b"PK", b"not a zip at all" * 100])
def test_any_other_file_is_no_backup(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(data)
    with refused(StorageTrouble, "transfer.backup-damaged"):
        restore(tmp_path / "x.zip", place_of(tmp_path / "new"))
