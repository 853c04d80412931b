"""``tackside report``: from trials on the bench to a page, and refusals in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.cli.bench_of_examples import Caller
from tests.report.invented import four


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    """A bench with four invented trials; the last has not been judged."""
    bench = Bench.open(tmp_path / "bench")
    for number, entry in enumerate(four(), start=1):
        bench.stocks.add(entry.stock)
        bench.printers.add(entry.printer)
        trial = entry.trial.model_copy(update={"id": f"T{number}"})
        bench.trials.add(trial)
        reading = bench.readings.add(entry.reading.model_copy(update={"trial": trial.id}))
        if number < 4:
            bench.verdicts.add(entry.verdict.model_copy(update={"trial": trial.id, "reading": reading.id}))
    return Caller(tmp_path / "bench", capsys)


def test_the_page_is_written_and_named(call: Caller, tmp_path: Path) -> None:
    out = tmp_path / "report.html"
    document = call.document("report", "T1", "T2", "T3", "--out", out, "--title", "Three cards")
    assert document["file"] == str(out)
    page = out.read_text(encoding="utf-8")
    assert "<h1>Three cards</h1>" in page
    assert "Fulmar Etching 310" in page


def test_a_trial_named_twice_is_shown_once(call: Caller, tmp_path: Path) -> None:
    assert call.document("report", "T1", "T1", "--out", tmp_path / "r.html")["trials"] == ["T1"]


def test_refusals_are_one_line_and_leave_nothing(call: Caller, tmp_path: Path) -> None:
    out = tmp_path / "report.html"
    assert "T9" in call.refusal("report", "T9", "--out", out)
    assert "T4" in call.refusal("report", "T1", "T4", "--out", out)
    assert "no trial" in call.refusal("report", "--out", out)
    said = call.refusal("report", "T1", "--out", tmp_path / "report.pdf")
    assert "report.html, open it in a browser and print it to PDF" in said
    assert "end the name of --out in .html" in call.refusal("report", "T1", "--out", tmp_path / "report")
    assert "cannot write" in call.refusal("report", "T1", "--out", tmp_path / "nowhere" / "report.html")
    assert not out.exists()
