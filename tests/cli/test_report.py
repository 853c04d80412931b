"""``tackside report``: from trials on the bench to a page, and refusals in one line."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

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
    assert "end the name of --out in .html" in call.refusal("report", "T1", "--out", tmp_path / "report")
    assert "has no name" in call.refusal("report", "T1")
    assert "--short answers on one trial" in call.refusal("report", "T1", "T2", "--short", "--out", out)
    assert "takes all stocks" in call.refusal("report", "T1", "--catalogue", tmp_path / "site")
    assert "cannot write" in call.refusal("report", "T1", "--out", tmp_path / "nowhere" / "report.html")
    assert not out.exists()


def test_a_pdf_and_a_short_form_are_written(call: Caller, tmp_path: Path) -> None:
    pdf, short = tmp_path / "report.pdf", tmp_path / "short.html"
    assert call.document("report", "T1", "T2", "--out", pdf)["file"] == str(pdf)
    assert pdf.read_bytes().startswith(b"%PDF-")
    call.text("report", "T3", "--short", "--out", short)
    assert "Can I print on Plover Matt 230?" in short.read_text(encoding="utf-8")
    call.text("report", "T1", "--short", "--out", tmp_path / "short.pdf")
    assert (tmp_path / "short.pdf").read_bytes().startswith(b"%PDF-")


def test_a_scan_that_was_kept_is_shown_and_the_data_attached(call: Caller, tmp_path: Path) -> None:
    scan, out = tmp_path / "scan.png", tmp_path / "report.html"
    Image.new("RGB", (827, 1169), "#e8e4dc").save(scan, dpi=(100, 100))
    bench = Bench.open(call.folder)
    sha256 = bench.keep_file(scan)
    reading = bench.readings.standing("T1").model_copy(update={"id": None, "source_sha256": sha256})
    kept = bench.readings.add(reading)
    bench.verdicts.add(bench.verdicts.standing("T1").model_copy(update={"id": None, "reading": kept.id}))
    call.text("report", "T1", "--out", out, "--licence", "CC BY 4.0")
    page = out.read_text(encoding="utf-8")
    assert "data:image/jpeg;base64," in page
    assert 'download="t1.txt"' in page
    assert "CC BY 4.0." in page
    call.text("report", "T1", "--out", out, "--no-pictures", "--no-data", "--force")
    assert "<img" not in out.read_text(encoding="utf-8")
    assert "download=" not in out.read_text(encoding="utf-8")


def test_a_catalogue_of_all_stocks_is_written(call: Caller, tmp_path: Path) -> None:
    document = call.document("report", "--catalogue", tmp_path / "site")
    assert document["file"] == str(tmp_path / "site" / "index.html")
    assert {each.name for each in (tmp_path / "site").iterdir()} == set(document["files"])
    assert "Shingle Craft 250" in (tmp_path / "site" / "index.html").read_text(encoding="utf-8")
