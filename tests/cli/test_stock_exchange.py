"""``tackside stock export`` and ``import``: a stock handed from one bench to another."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.bench import invented
from tests.cli.bench_of_examples import Caller


def test_a_stock_goes_from_one_bench_to_another(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    theirs, mine = Caller(tmp_path / "theirs", capsys), Caller(tmp_path / "mine", capsys)
    bench = Bench.open(tmp_path / "theirs")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    bench.readings.add(invented.reading())
    written = theirs.document("stock", "export", "Harbour Satin 300", "--out", tmp_path / "s.zip")
    assert (written["trials"], written["readings"], written["schema_version"]) == (["7K3M9QPA"], 1, 1)
    taken = mine.document("stock", "import", tmp_path / "s.zip")
    assert (taken["trials"], taken["revisions"]) == (["7K3M9QPA"], 1)
    assert mine.text("stock", "import", tmp_path / "s.zip").startswith("Nothing new")
    Bench.open(tmp_path / "mine").stocks.add(invented.stock(notes="mine"))
    bench.stocks.add(invented.stock(notes="theirs"))
    theirs.text("stock", "export", "Harbour Satin 300", "--out", tmp_path / "s.zip", "--force")
    assert "--keep mine" in mine.refusal("stock", "import", tmp_path / "s.zip")
    assert mine.document("stock", "import", tmp_path / "s.zip", "--keep", "both")["name"].endswith("(2)")
    (tmp_path / "x.zip").write_bytes(b"no archive")
    assert "damaged, or no archive" in mine.refusal("stock", "import", tmp_path / "x.zip")
    assert "end the name of --out in .zip" in theirs.refusal("stock", "export", "X", "--out", tmp_path / "s")


def test_the_schema_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert Caller(tmp_path, capsys).document("stock", "schema")["title"] == "tackside-stock 1"
