"""A stock handed on as one archive: whole on the other bench, joined with what is there, and never trusted."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tackside.bench.store import Bench
from tackside.bench.transfer import exchange_archive
from tackside.bench.transfer.exchange import export_stock, schema
from tackside.bench.transfer.exchange_import import import_stock
from tackside.errors import BadRecord, BadRequest, NotFound, StorageTrouble
from tackside.messages.message import Message
from tackside.records import Settings
from tackside.records.standing.withdrawal import Withdrawal, WithdrawnKind
from tests.bench import invented
from tests.refusals import refused

SATIN = "Harbour Satin 300"
ELSEWHERE = {
    "kind": "reading",
    "subject": "OTHER111-r1",
    "withdrawn": True,
    "noted_at": "2026-04-01T00:00:00Z",
}


@pytest.fixture
def theirs(tmp_path: Path) -> Bench:
    """Another studio's bench: a stock in two revisions, a printer, a trial read and judged, a scan."""
    bench, scan, file = Bench.open(tmp_path / "theirs"), tmp_path / "scan.tif", tmp_path / "satin.toml"
    scan.write_bytes(b"pixels" * 1000)
    file.write_bytes(b"# satin")
    bench.stocks.add(invented.stock(), file)
    bench.stocks.add(invented.stock(caliper_mm=0.32))
    bench.stocks.add(invented.stock(name="Not asked for"))
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    bench.trials.update_settings("7K3M9QPA", Settings(media_setting="Photo satin"))
    found = bench.readings.add(invented.reading(source_sha256=bench.keep_file(scan)))
    bench.verdicts.add(invented.verdict(reading=found.id))
    return bench


@pytest.fixture
def archive(theirs: Bench, tmp_path: Path) -> Path:
    export_stock(theirs, SATIN, tmp_path / "satin.zip")
    return tmp_path / "satin.zip"


def document(archive: Path) -> Any:
    with zipfile.ZipFile(archive) as found:
        return json.loads(found.read("stock.json"))


def test_an_archive_holds_to_its_published_schema(archive: Path) -> None:
    # JSON Schema draft 2020-12, by an independent validator.
    jsonschema.Draft202012Validator.check_schema(schema())
    validator = jsonschema.Draft202012Validator(schema())
    validator.validate(document(archive))
    assert not validator.is_valid({**document(archive), "stock": []})
    assert not validator.is_valid({**document(archive), "surprise": 1})


def test_a_stock_comes_whole_to_an_empty_bench_of_either_kind(
    archive: Path, theirs: Bench, bench: Bench
) -> None:
    taken = import_stock(bench, archive)
    assert (taken.stock, taken.revisions, taken.trials) == (SATIN, 2, ["7K3M9QPA"])
    assert (taken.readings, taken.verdicts, taken.files, taken.renamed) == (1, 1, 2, {})
    assert [each.record for each in bench.stocks.history(SATIN)] == [
        each.record for each in theirs.stocks.history(SATIN)
    ]
    assert bench.trials.get("7K3M9QPA") == theirs.trials.get("7K3M9QPA")
    reading = bench.readings.standing("7K3M9QPA")
    assert reading == theirs.readings.standing("7K3M9QPA")
    assert bench.verdicts.list("7K3M9QPA") == theirs.verdicts.list("7K3M9QPA")
    assert bench.file(reading.source_sha256).read_bytes() == b"pixels" * 1000
    assert bench.file_name(reading.source_sha256) == "scan.tif"
    source = bench.stocks.kept(SATIN, 1).source_sha256
    assert source is not None
    assert bench.file_name(source) == "satin.toml"
    with pytest.raises(NotFound):
        bench.stocks.get("Not asked for")


def test_a_second_time_changes_nothing(archive: Path, bench: Bench) -> None:
    import_stock(bench, archive)
    before = bench.counts()
    taken = import_stock(bench, archive)
    assert bench.counts() == before
    assert (taken.revisions, taken.trials, taken.readings, taken.files) == (0, [], 0, 0)


def test_what_was_withdrawn_is_withdrawn_there_too(theirs: Bench, bench: Bench, tmp_path: Path) -> None:
    def say(where: Bench, subject: str, day: int, *, withdrawn: bool) -> None:
        kind: WithdrawnKind = "reading" if "-" in subject else "trial"
        at = datetime(2026, 4, day, tzinfo=UTC)
        word = Withdrawal(kind=kind, subject=subject, withdrawn=withdrawn, why="smudged", noted_at=at)
        assert where.withdrawals.note(word) == 1

    say(theirs, "7K3M9QPA-r1", 1, withdrawn=True)
    export_stock(theirs, SATIN, tmp_path / "one.zip")
    taken = import_stock(bench, tmp_path / "one.zip")
    assert (taken.readings, taken.verdicts, taken.withdrawals) == (1, 1, 1)
    assert bench.readings.find_standing("7K3M9QPA") is None
    assert bench.withdrawals.of("reading", ["7K3M9QPA-r1"])["7K3M9QPA-r1"].why == "smudged"
    # Put back here later than it was withdrawn there: the older archive does not undo that.
    say(bench, "7K3M9QPA-r1", 2, withdrawn=False)
    again = import_stock(bench, tmp_path / "one.zip")
    assert (again.readings, again.withdrawals, again.changed) == (0, 0, [])
    assert bench.readings.standing("7K3M9QPA").id == "7K3M9QPA-r1"
    say(theirs, "7K3M9QPA", 3, withdrawn=True)
    export_stock(theirs, SATIN, tmp_path / "two.zip")
    assert import_stock(bench, tmp_path / "two.zip").changed == ["7K3M9QPA"]
    assert bench.trials.list() == ()
    jsonschema.Draft202012Validator(schema()).validate(document(tmp_path / "two.zip"))


def test_later_findings_join_those_that_are_there(
    archive: Path, theirs: Bench, bench: Bench, tmp_path: Path
) -> None:
    import_stock(bench, archive)
    mine = bench.readings.add(invented.reading(source_name="my own scan"))
    theirs.readings.add(invented.reading(source_name="their second scan"))
    theirs.trials.update_settings("7K3M9QPA", Settings(media_setting="Photo satin", drying_hours=24))
    export_stock(theirs, SATIN, tmp_path / "again.zip")
    taken = import_stock(bench, tmp_path / "again.zip")
    assert (taken.readings, taken.trials) == (1, [])
    assert [each.source_name for each in bench.readings.list("7K3M9QPA")] == [
        "scan.tif", mine.source_name, "their second scan",
    ]  # fmt: skip
    assert bench.trials.get("7K3M9QPA").settings.drying_hours == 24


def test_another_print_under_the_same_id_gets_an_id_of_its_own(archive: Path, tmp_path: Path) -> None:
    # Two benches with equal records give equal ids; the prints are two all the same.
    mine = Bench.open(tmp_path / "mine")
    mine.stocks.add(invented.stock())
    mine.printers.add(invented.printer())
    other_day = invented.trial(made_at=invented.NOON.replace(day=9))
    mine.trials.add(other_day)
    taken = import_stock(mine, archive)
    new = taken.renamed["7K3M9QPA"]
    assert taken.trials == [new]
    assert mine.trials.get("7K3M9QPA") == other_day
    assert mine.readings.standing(new).id == f"{new}-r1"
    assert mine.verdicts.standing(new).reading == f"{new}-r1"
    assert mine.readings.list("7K3M9QPA") == ()
    assert import_stock(mine, archive).trials == []


@pytest.mark.parametrize(
    ("keep", "newest", "names"),
    [
        ("mine", "my own note", {SATIN}),
        ("theirs", "", {SATIN}),
        ("both", "my own note", {SATIN, f"{SATIN} (2)"}),
    ],
)
def test_a_stock_that_both_edited_is_kept_as_one_chooses(
    keep: Any, newest: str, names: set[str], archive: Path, tmp_path: Path
) -> None:
    mine = Bench.open(tmp_path / "mine")
    mine.stocks.add(invented.stock(notes="my own note"))
    with refused(BadRequest, "transfer.both-edited"):
        import_stock(mine, archive)
    assert mine.counts()["stock"] == 1
    assert mine.counts()["file"] == 0
    taken = import_stock(mine, archive, keep)
    assert {each.name for each in mine.stocks.list()} == names
    assert mine.stocks.get(SATIN).notes == newest
    trial = mine.trials.get("7K3M9QPA")
    assert trial.stock == taken.stock
    assert mine.stocks.get(trial.stock, trial.stock_revision) == invented.stock(name=taken.stock)
    before = mine.counts()
    import_stock(mine, archive, keep)
    assert mine.counts() == before


def test_a_bench_that_is_ahead_stays_ahead(archive: Path, tmp_path: Path) -> None:
    mine = Bench.open(tmp_path / "mine")
    import_stock(mine, archive)
    mine.stocks.add(invented.stock(caliper_mm=0.33))
    assert import_stock(mine, archive).revisions == 0
    assert mine.stocks.get(SATIN).caliper_mm == 0.33


def rewritten(archive: Path, change: Callable[[dict[str, bytes]], None], **document: Any) -> Path:
    """A copy of an archive with entries or fields of its document changed."""
    with zipfile.ZipFile(archive) as old:
        entries = {name: old.read(name) for name in old.namelist()}
    entries["stock.json"] = json.dumps({**json.loads(entries["stock.json"]), **document}).encode()
    change(entries)
    bad = archive.with_name("bad.zip")
    with zipfile.ZipFile(bad, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in entries.items():
            new.writestr(name, data)
    return bad


def nothing(_: dict[str, bytes]) -> None:
    return None


def damage(entries: dict[str, bytes]) -> None:
    name = next(each for each in entries if each.startswith("files/"))
    entries[name] = b"x" * len(entries[name])


def lose(entries: dict[str, bytes]) -> None:
    del entries[next(each for each in entries if each.startswith("files/"))]


def shorten(entries: dict[str, bytes]) -> None:
    name = next(each for each in entries if each.startswith("files/"))
    entries[name] = entries[name][:-1]


def escape(name: str) -> Callable[[dict[str, bytes]], None]:
    def change(entries: dict[str, bytes]) -> None:
        entries[name] = b"x"

    return change


def edit(path: tuple[Any, ...], value: Any) -> Callable[[dict[str, bytes]], None]:
    def change(entries: dict[str, bytes]) -> None:
        whole = json.loads(entries["stock.json"])
        place = whole
        for part in path[:-1]:
            place = place[part]
        place[path[-1]] = value
        entries["stock.json"] = json.dumps(whole).encode()

    return change


@pytest.mark.parametrize(
    ("change", "more", "said"),
    [
        (escape("../outside"), {}, "has no place in it"),
        (escape("/etc/outside"), {}, "has no place in it"),
        (escape("files/../../outside"), {}, "has no place in it"),
        (escape("files\\outside"), {}, "has no place in it"),
        (escape("files/" + "0" * 64), {}, "is not listed"),
        (damage, {}, "its hash is not"),
        (shorten, {}, "another size than listed"),
        (lose, {}, "is missing"),
        (
            nothing,
            {"schema_version": 2, "version": "9.9"},
            r"comes from Tackside 9\.9 \(schema 2, this one knows 1\)",
        ),
        (nothing, {"kind": "recipe"}, "no archive of a stock"),
        (nothing, {"surprise": 1}, "unknown field surprise"),
        (nothing, {"stock": []}, "stock has too few entries"),
        (nothing, {"trials": 5}, "trials is 5, not a list"),
        (nothing, {"printers": []}, "the printer of trial 7K3M9QPA is not in it"),
        (lambda entries: entries.update({"stock.json": b"{"}), {}, "is no JSON"),
        (lambda entries: entries.pop("stock.json"), {}, "has no stock.json"),
        (edit(("trials", 0, "trial", "id"), "../../x"), {}, "a trial's id is none"),
        (edit(("trials", 0, "trial", "stock"), "Other"), {}, "of another stock"),
        (edit(("trials", 0, "readings"), []), {}, "lacks its reading"),
        (edit(("trials", 0, "readings", 0, "trial"), "OTHER111"), {}, "belongs to another"),
        (edit(("trials", 0, "withdrawals"), [ELSEWHERE]), {}, "something was withdrawn in trial 7K3M9QPA"),
        (edit(("stock", 1, "record", "name"), "Other"), {}, "several names"),
        (edit(("stock", 0, "record", "caliper_mm"), 900), {}, "caliper_mm"),
    ],
)
def test_an_archive_that_cannot_be_trusted_leaves_the_bench_as_it_was(
    change: Callable[[dict[str, bytes]], None], more: dict[str, Any], said: str, archive: Path, tmp_path: Path
) -> None:
    mine = Bench.open(tmp_path / "mine")
    with pytest.raises((BadRecord, StorageTrouble), match=said):
        import_stock(mine, rewritten(archive, change, **more))
    assert set(mine.counts().values()) == {0}
    assert not (tmp_path / "outside").exists()
    assert not Path("/etc/outside").exists()


def test_a_link_in_an_archive_is_refused(archive: Path, tmp_path: Path) -> None:
    link = zipfile.ZipInfo("files/" + "0" * 64)
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(archive, "a") as found:
        found.writestr(link, "/etc/passwd")
    with refused(BadRecord, "transfer.file-out-of-place"):
        import_stock(Bench.open(tmp_path / "mine"), archive)


def test_a_bomb_is_refused_before_it_is_unpacked(archive: Path, tmp_path: Path) -> None:
    def swell(entries: dict[str, bytes]) -> None:
        entries["files/" + "0" * 64] = bytes(50_000_000)

    with refused(BadRecord, "transfer.unpacks-to-far-more"):
        import_stock(Bench.open(tmp_path / "mine"), rewritten(archive, swell))


def test_too_many_files_are_refused(archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exchange_archive, "LARGEST_FILES", 1)
    with refused(BadRecord, "transfer.too-many-files", count=3):
        import_stock(Bench.open(tmp_path / "mine"), archive)


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"not a zip" * 100])
def test_any_other_file_is_no_archive(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(data)
    with refused(BadRecord, "transfer.archive-damaged"):
        import_stock(Bench.open(tmp_path / "mine"), tmp_path / "x.zip")
    with refused(StorageTrouble, "file.cannot-read", reason=Message("file.nothing-there")):
        import_stock(Bench.open(tmp_path / "mine"), tmp_path / "nowhere.zip")


def test_an_import_that_fails_at_its_last_record_keeps_none(
    archive: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tackside.bench.transfer import exchange_import

    def fail(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(exchange_import, "_once", fail)
    with pytest.raises(KeyboardInterrupt):
        import_stock(bench, archive)
    assert set(bench.counts().values()) == {0}


def test_prints_of_two_stocks_at_one_moment_stay_two(tmp_path: Path) -> None:
    source, target = Bench.open(tmp_path / "source"), Bench.open(tmp_path / "target")
    source.printers.add(invented.printer())
    for number in (1, 2):
        source.stocks.add(invented.stock(name=f"Stock {number}"))
        source.trials.add(invented.trial(f"TRIAL00{number}", stock=f"Stock {number}"))
        export_stock(source, f"Stock {number}", tmp_path / f"{number}.zip")
        import_stock(target, tmp_path / f"{number}.zip")
    assert {trial.id: trial.stock for trial in target.trials.list()} == {
        "TRIAL001": "Stock 1",
        "TRIAL002": "Stock 2",
    }
