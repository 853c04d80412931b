"""What workers prepare to be looked at: there whole or not at all, and kept within bounds while the workbench runs."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.errors import StorageTrouble
from tackside.tasks.artifacts import place_of, preparing, read_prepared, tell
from tackside.web.jobs.engine.runner import Runner
from tackside.workflow.prepared import live_proof

LONG_AGO = time.time() - 200 * 24 * 3600


def test_what_fails_half_way_leaves_what_was_there_before(tmp_path: Path) -> None:
    place = place_of(tmp_path, "gamuts", "one")
    with preparing(place) as making:
        tell(making, 1, {"said": "first"})

    def half_way() -> None:
        with preparing(place) as making:
            tell(making, 1, {"said": "second"})
            raise KeyError

    with pytest.raises(KeyError):
        half_way()
    assert read_prepared(place, 1) == {"form": 1, "said": "first"}
    assert [each.name for each in place.parent.iterdir()] == ["one"]


def test_another_form_or_damage_counts_as_nothing(tmp_path: Path) -> None:
    place = place_of(tmp_path, "gamuts", "one")
    assert read_prepared(place, 1) is None
    with preparing(place) as making:
        tell(making, 1, {})
    assert read_prepared(place, 2) is None
    (place / "about.json").write_text("{half")
    assert read_prepared(place, 1) is None


def test_a_look_at_it_counts_as_use(tmp_path: Path) -> None:
    place = place_of(tmp_path, "gamuts", "one")
    with preparing(place) as making:
        tell(making, 1, {})
    os.utime(place, (LONG_AGO, LONG_AGO))
    read_prepared(place, 1)
    assert time.time() - place.stat().st_mtime < 60


def test_a_full_disk_is_told_in_our_words(tmp_path: Path) -> None:
    (tmp_path / "gamuts").write_text("a file stands where the folder would")
    with pytest.raises(StorageTrouble), preparing(place_of(tmp_path, "gamuts", "one")):
        pass


def test_a_proof_whose_table_was_put_out_of_the_cache_is_prepared_again(tmp_path: Path) -> None:
    place = live_proof.place_of(tmp_path, "a" * 64, ["2B4C6D8E"])
    place.mkdir(parents=True)
    links = tmp_path / "links"
    links.mkdir()
    for key in ("original", "way"):
        (links / f"{key}.bin").write_bytes(b"table")
    told = {"form": live_proof.FORM, "original": "original", "ways": [{"key": "way"}]}
    (place / "proof.json").write_text(json.dumps(told))
    assert live_proof.read_proof(place) == told
    (links / "way.bin").unlink()
    assert live_proof.read_proof(place) is None


def test_the_workbench_keeps_its_cache_within_bounds(bench: Bench) -> None:
    old = bench.folder / "cache" / "scans" / "long unused"
    old.mkdir(parents=True)
    (old / "tile.jpg").write_bytes(b"x")
    os.utime(old, (LONG_AGO, LONG_AGO))
    runner = Runner(bench)
    runner.start()
    try:
        deadline = time.monotonic() + 20
        while old.exists() and time.monotonic() < deadline:
            time.sleep(0.05)
    finally:
        runner.stop()
    assert not old.exists()
    kept = [each for each in (bench.folder / "cache" / "scans").iterdir() if not each.name.startswith(".")]
    assert kept  # the workshop's own scans are new
