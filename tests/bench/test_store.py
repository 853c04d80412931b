"""A bench keeps every record as it was, with when, from what file and by which version."""

from __future__ import annotations

import hashlib
import os
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tackside import __version__
from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound, StorageTrouble
from tackside.files.atomic import TEMPORARY_PREFIX
from tackside.messages.message import Message
from tackside.records import Settings
from tests.bench import invented
from tests.refusals import PathNamed, refused


@pytest.fixture
def filled(bench: Bench) -> Bench:
    """A bench with a stock, a printer and a trial."""
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    return bench


def test_records_come_back_as_they_went_in(filled: Bench, place: Path) -> None:
    again = Bench.open(place, create=False)
    assert again.stocks.get("Harbour Satin 300") == invented.stock()
    assert again.printers.get("Tern 8") == invented.printer()
    assert again.trials.get("7K3M9QPA") == invented.trial()


def test_a_changed_record_is_a_new_revision_and_the_old_one_stays(bench: Bench) -> None:
    assert bench.stocks.add(invented.stock()).revision == 1
    changed = invented.stock(caliper_mm=0.32)
    added = bench.stocks.add(changed)
    assert (added.revision, added.is_new) == (2, True)
    assert bench.stocks.get("Harbour Satin 300") == changed
    assert bench.stocks.get("Harbour Satin 300", 1) == invented.stock()
    assert bench.stocks.revision("Harbour Satin 300") == 2
    assert [each.number for each in bench.stocks.history("Harbour Satin 300")] == [1, 2]


def test_the_same_content_again_makes_no_revision(bench: Bench) -> None:
    bench.printers.add(invented.printer())
    added = bench.printers.add(invented.printer())
    assert (added.revision, added.is_new) == (1, False)
    assert len(bench.printers.history("Tern 8")) == 1


def test_going_back_to_an_earlier_content_is_a_revision_too(bench: Bench) -> None:
    for note in ("a", "b", "a"):
        bench.stocks.add(invented.stock(notes=note))
    assert [each.record.notes for each in bench.stocks.history("Harbour Satin 300")] == ["a", "b", "a"]


def test_the_list_holds_the_newest_revision_of_each_by_name(bench: Bench) -> None:
    for name, note in (("Wren 200", ""), ("Auk 250", "old"), ("Auk 250", "new")):
        bench.stocks.add(invented.stock(name=name, notes=note))
    assert [(each.name, each.notes) for each in bench.stocks.list()] == [("Auk 250", "new"), ("Wren 200", "")]


def test_a_record_keeps_when_from_what_file_and_by_which_version(bench: Bench, tmp_path: Path) -> None:
    source = tmp_path / "satin.toml"
    source.write_bytes(b"# the file")
    before = datetime.now(UTC)
    bench.stocks.add(invented.stock(), source)
    kept = bench.stocks.kept("Harbour Satin 300")
    assert before <= kept.kept_at <= datetime.now(UTC)
    assert kept.kept_at.utcoffset() == timedelta(0)
    assert kept.version == __version__
    assert kept.source_sha256 == hashlib.sha256(b"# the file").hexdigest()
    assert bench.file(kept.source_sha256).read_bytes() == b"# the file"


def test_a_name_that_is_nearly_right_gets_the_right_one(filled: Bench) -> None:
    with refused(NotFound, "bench.no-stock", hint=Message("file.did-you-mean", near="Harbour Satin 300")):
        filled.stocks.get("harbour satn 300")
    with refused(
        NotFound,
        "bench.no-stock",
        name="Harbour",
        hint=Message("file.did-you-mean", near="Harbour Satin 300"),
    ):
        filled.stocks.get("Harbour")
    with refused(NotFound, "bench.no-trial", hint=Message("file.did-you-mean", near="7K3M9QPA")):
        filled.trials.get("7K3M9QPB")


def test_a_name_on_an_empty_bench_gets_the_way_to_begin(bench: Bench) -> None:
    with refused(NotFound, "bench.no-stock", hint=Message("bench.add-stock")):
        bench.stocks.get("Harbour Satin 300")
    with refused(NotFound, "bench.no-trial", hint=Message("bench.make-trial")):
        bench.trials.get("7K3M9QPA")


def test_a_trial_is_found_by_an_id_typed_in_small_letters_or_with_look_alikes(filled: Bench) -> None:
    filled.trials.add(invented.trial("10AB10AB"))
    assert filled.trials.get("7k3m9qpa").id == "7K3M9QPA"
    assert filled.trials.get("loABiOAB").id == "10AB10AB"


def test_a_trial_needs_its_stock_and_printer_on_the_bench(bench: Bench) -> None:
    with refused(NotFound, "bench.stock-revision-not-kept", name="Harbour Satin 300", revision=1):
        bench.trials.add(invented.trial())
    bench.stocks.add(invented.stock())
    with refused(NotFound, "bench.printer-revision-not-kept", name="Tern 8"):
        bench.trials.add(invented.trial())
    assert bench.trials.list() == ()


def test_one_id_is_one_trial(filled: Bench) -> None:
    with refused(BadRequest, "bench.trial-there-already"):
        filled.trials.add(invented.trial())
    assert len(filled.trials.list()) == 1


def test_settings_grow_and_their_history_is_kept(filled: Bench) -> None:
    known = Settings(media_setting="Photo satin")
    more = Settings(media_setting="Photo satin", drying_hours=24)
    assert filled.trials.update_settings("7K3M9QPA", known) == 2
    assert filled.trials.update_settings("7k3m9qpa", more) == 3
    assert filled.trials.update_settings("7K3M9QPA", more) == 3
    assert filled.trials.get("7K3M9QPA").settings == more
    assert filled.trials.list()[0].settings == more
    history = filled.trials.settings_history("7K3M9QPA")
    assert [each.settings for each in history] == [Settings(), known, more]


def test_findings_are_numbered_within_their_trial(filled: Bench) -> None:
    filled.trials.add(invented.trial("OTHER111"))
    first, second = filled.readings.add(invented.reading()), filled.readings.add(invented.reading())
    assert [first.id, second.id] == ["7K3M9QPA-r1", "7K3M9QPA-r2"]
    assert filled.readings.add(invented.reading("OTHER111")).id == "OTHER111-r1"
    assert filled.readings.standing("7K3M9QPA") == second
    assert filled.readings.list("7K3M9QPA") == (first, second)
    assert filled.readings.get("7K3M9QPA-r1") == first
    judged = filled.verdicts.add(invented.verdict(reading=second.id))
    assert judged.id == "7K3M9QPA-v1"
    assert filled.verdicts.standing("7K3M9QPA") == judged
    assert filled.verdicts.list() == (judged,)


def test_a_bare_file_may_be_kept_without_a_trial(bench: Bench) -> None:
    assert bench.readings.add(invented.reading(None)).id == "bare-r1"
    assert bench.readings.add(invented.reading(None)).id == "bare-r2"


def test_a_trial_without_findings_says_what_to_do(filled: Bench) -> None:
    assert filled.readings.list("7K3M9QPA") == ()
    with refused(NotFound, "bench.no-reading-yet", trial="7K3M9QPA"):
        filled.readings.standing("7K3M9QPA")
    with refused(NotFound, "bench.no-verdict-yet", trial="7K3M9QPA"):
        filled.verdicts.standing("7K3M9QPA")


def test_a_finding_of_nothing_on_the_bench_is_refused(filled: Bench) -> None:
    with refused(NotFound, "bench.trial-not-kept", id="NOWHERE1"):
        filled.readings.add(invented.reading("NOWHERE1"))
    with refused(NotFound, "bench.reading-not-kept", id="7K3M9QPA-r9"):
        filled.verdicts.add(invented.verdict(reading="7K3M9QPA-r9"))


def test_a_kept_file_lies_under_its_hash_and_is_kept_once(bench: Bench, tmp_path: Path) -> None:
    scan = tmp_path / "scan.tif"
    scan.write_bytes(b"pixels" * 500_000)
    sha256 = bench.keep_file(scan)
    assert bench.keep_file(scan) == sha256
    place = bench.file(sha256)
    assert place == bench.folder / "files" / sha256[:2] / sha256
    assert place.read_bytes() == scan.read_bytes()
    assert [each for each in (bench.folder / "files").rglob("*") if each.is_file()] == [place]


@pytest.mark.parametrize("sha256", ["0" * 64, "../bench.sqlite", ""])
def test_a_file_that_was_not_kept_is_not_found(bench: Bench, sha256: str) -> None:
    with pytest.raises(NotFound):
        bench.file(sha256)


def test_a_file_that_cannot_be_read_is_not_kept(bench: Bench, tmp_path: Path) -> None:
    with refused(
        StorageTrouble, "file.cannot-read", file=PathNamed("scan.tif"), reason=Message("file.nothing-there")
    ):
        bench.keep_file(tmp_path / "scan.tif")
    with refused(StorageTrouble, "file.cannot-read", reason=Message("file.is-folder")):
        bench.keep_file(tmp_path)


def test_what_a_dead_process_left_is_swept_after_a_day(bench: Bench, tmp_path: Path) -> None:
    shelf = bench.folder / "files"
    shelf.mkdir()
    old, fresh = shelf / f"{TEMPORARY_PREFIX}old", shelf / f"{TEMPORARY_PREFIX}fresh"
    for each in (old, fresh):
        each.write_bytes(b"half")
    long_ago = time.time() - 2 * 24 * 3600
    os.utime(old, (long_ago, long_ago))
    (tmp_path / "x").write_bytes(b"x")
    bench.keep_file(tmp_path / "x")
    assert fresh.exists()
    assert not old.exists()
