"""``tackside run …`` and ``tackside printer ask``: from a run file to counted sheets and a followed job."""

from __future__ import annotations

import io
import json
import shutil
import struct
import sys
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE
from tackside.cli.main import main
from tackside.messages.wording import documents
from tests import services
from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.run.files import CARD, PHOTOGRAPH
from tests.run.files import RUN as FORTY
from tests.run.ipp.real_printer import TERN as CONF
from tests.run.ipp.real_printer import RealPrinter, real_printer

RUN = FORTY.replace("quantity = 40", "quantity = 4")
needs_printer = pytest.mark.skipif(not services.printer_tools(), reason="no IPP test printer is installed")


class Terminal(io.StringIO):
    """Where a person types."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    caller.text("stock", "add", SATIN)
    caller.text("printer", "add", TERN)
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    (tmp_path / "boats.toml").write_text(CARD, encoding="utf-8")
    (tmp_path / "run.toml").write_text(RUN, encoding="utf-8")
    return caller


@pytest.fixture(scope="module")
def printer(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealPrinter]:
    with real_printer(tmp_path_factory.mktemp("printer"), "exit 0") as found:
        yield found


def test_the_cost_of_a_run(call: Caller, tmp_path: Path) -> None:
    told = call.document("run", "cost", tmp_path / "run.toml")
    # 4 ÷ 0.925, up, and 3 to set up (docs/sources.md, S59): 8 sheets, one pack of 25.
    assert (told["sheets"], told["packs"], told["stocks"][0]["left_over"]) == (8, 1, 17)
    assert told["ink_ml"] > 0
    assumed = {each["code"]: each for each in told["assumptions"]}
    assert assumed["run.waste"]["values"]["spoilage"]["code"] == "run.spoilage-usual"
    assert assumed["run.waste"]["text"].startswith("Harbour Satin 300 on Tern 8: spoilage of 5 % to 10 %")
    dearer = told["what_if"][0]
    assert (dearer["code"], dearer["what"]) == ("run.if-dearer", "card a tenth dearer")
    assert float(told["unit_cost"]) < float(told["price"]["wholesale"]) < float(told["price"]["retail"])
    said = call.text("run", "cost", tmp_path / "run.toml")
    assert "Price, wholesale" in said
    assert "Harbour Satin 300 goes as" in said
    assert "letter (United Kingdom)" in said
    assert "trade figure" in said


def test_faults_are_one_line(call: Caller, tmp_path: Path) -> None:
    (tmp_path / "run.toml").write_text(RUN.replace("quantity = 4", "quantity = 0"), encoding="utf-8")
    assert "quantity" in call.refusal("run", "cost", tmp_path / "run.toml")
    assert "there is no file" in call.refusal("run", "cost", tmp_path / "none.toml")
    assert "there is no run" in call.refusal("run", "show", "NOSUCH")


def test_a_run_is_kept_counted_and_shown(call: Caller, tmp_path: Path) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    assert call.document("run", "list")["runs"][0]["run"] == run
    told = call.document(
        "run", "count", run, "1", "--good", "3", "--spoiled", "1", "--why", "skewed", "--setup", "2"
    )
    (batch,) = told["batches"]
    assert (batch["printed"], batch["spoiled"], batch["setup"], batch["left"], batch["why"]) == (
        3,
        1,
        2,
        1,
        {"skewed": 1},
    )
    assert "3 of 4" in call.text("run", "show", run)
    assert "nothing was counted" in call.refusal("run", "count", run, "1")
    assert "nothing was counted" in call.refusal("run", "count", run, "1", "--good", "-2")


def test_cartridges_are_noted(call: Caller) -> None:
    told = call.document("run", "ink", "Tern 8", "--changed", "cyan", "--changed", "yellow", "--ml", "14")
    assert (told["code"], told["values"]["why"]["code"]) == ("ink.usual", "ink.some-inks-only")
    assert "only 2 of 8 inks" in told["basis"]
    assert "cannot be" in call.refusal("run", "ink", "Tern 8", "--changed", "cyan", "--ml", "0")


def test_the_papers_of_a_run(call: Caller, tmp_path: Path) -> None:
    run = tmp_path / "run.toml"
    for command, name in (("picklist", "pick.pdf"), ("labels", "labels.pdf"), ("instructions", "card.pdf")):
        assert call.document("run", command, run, "--out", tmp_path / name)["file"] == str(tmp_path / name)
        with pikepdf.open(tmp_path / name) as pdf:
            assert len(pdf.pages) == 1
    assert "100 %, actual size" in call.text("run", "instructions", run)
    assert "no .pdf file" in call.refusal("run", "picklist", run, "--out", tmp_path / "pick.doc")
    assert "no batch 3" in call.refusal("run", "instructions", run, "--batch", "3")


@needs_printer
def test_a_printer_is_asked_and_its_record_kept(call: Caller, printer: RealPrinter) -> None:
    told = call.document("printer", "ask", printer.uri, "--name", "Tern 8")
    # The example's own record said more of the rear feed than printers do; that is kept.
    assert (told["revision"], told["feeds"][0]["max_caliper_mm"]) == (2, 0.6)
    assert told["feeds"][1]["name"] == "cassette"
    assert "ipp.gap-custom-sizes" not in {gap["code"] for gap in told["gaps"]}
    assert "89 × 127 mm to 329 × 1000 mm" in call.text("printer", "show", "Tern 8")
    assert "no printer's address" in call.refusal("printer", "ask", "tern.local")


@needs_printer
def test_nothing_is_sent_without_a_yes(
    call: Caller,
    tmp_path: Path,
    printer: RealPrinter,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    said = call.refusal("run", "send", run, "1", "--to", printer.uri)
    # Printer, sheets and cost are named.
    for part in ("4 sheets of Harbour Satin 300", "Tern 8", printer.uri, "GBP", "--yes"):
        assert part in said

    monkeypatch.setattr(sys, "stdin", Terminal("no\n"))
    capsys.readouterr()
    assert main(["--bench", str(call.folder), "run", "send", run, "1", "--to", printer.uri]) == 2
    shown = capsys.readouterr().err
    for caution in (HEAD_STRIKE, DAMP_FINGERS):
        assert 0 <= shown.find(str(caution)) < shown.index("Type yes to send")
    assert call.document("run", "show", run)["jobs"] == []
    assert list((printer.folder / "spool").glob("*.pdf")) == []


@needs_printer
def test_sheets_are_sent_followed_and_recorded(
    call: Caller, tmp_path: Path, printer: RealPrinter, capsys: pytest.CaptureFixture[str]
) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    sending = ["--bench", str(call.folder), "run", "send", run, "1", "--to", printer.uri, "--yes", "--json"]
    assert main([*sending, "--media-type", "photographic-semi-gloss"]) == 0
    shown = capsys.readouterr()
    assert "Boats: completed" in shown.err
    for caution in (HEAD_STRIKE, DAMP_FINGERS):  # who gave --yes reads them too, before the printer starts
        assert 0 <= shown.err.find(str(caution)) < shown.err.index("tackside: Boats")
    told = json.loads(shown.out)
    assert told["cautions"] == documents((HEAD_STRIKE, DAMP_FINGERS))
    assert (told["sheets"], told["left_out"]) == (4, [])
    (job,) = call.document("run", "show", run)["jobs"]
    asked = job["asked"]
    assert (job["state"], job["copies"], asked["print-scaling"], asked["copies"]) == (
        "completed",
        4,
        "none",
        4,
    )
    assert asked["media-col"]["media-size"] == {"x-dimension": 21000, "y-dimension": 29700}
    assert asked["media-col"]["media-top-margin"] == 0
    (sent,) = (printer.folder / "spool").glob("*.pdf")
    with pikepdf.open(sent) as pdf:
        (page,) = pdf.pages
        # ISO 216: A4 in points.
        assert [float(edge) for edge in page.mediabox[2:]] == pytest.approx([595.28, 841.89], abs=0.02)
    sent.unlink()
    call.text("run", "count", run, "1", "--good", "4")
    assert "nothing left to send" in call.refusal("run", "send", run, "1", "--to", printer.uri, "--yes")


def sent_to(call: Caller, folder: Path, told: str, suffix: str) -> tuple[str, bytes]:
    """The run's id, and what a printer gets that says ``told`` of itself, one sheet of it."""
    conf = folder / "other.conf"
    conf.write_text(told, encoding="utf-8")
    run: str = call.document("run", "keep", folder / "run.toml")["run"]
    with real_printer(folder / "other", "exit 0", conf) as found:
        sending = ["run", "send", run, "1", "--to", found.uri, "--yes", "--sheets", "1"]
        assert main(["--bench", str(call.folder), *sending]) == 0
        (sent,) = (found.folder / "spool").glob(f"*.{suffix}")
        return run, sent.read_bytes()


@needs_printer
def test_a_printer_that_takes_no_pdf_gets_raster_at_its_own_resolution(
    call: Caller, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = CONF.read_text(encoding="utf-8").replace("application/pdf,", "")
    run, data = sent_to(call, tmp_path, told.replace("300dpi,600dpi", "150dpi,300dpi"), "pwg")
    capsys.readouterr()
    assert data.startswith(b"RaS2PwgRaster")
    # ISO 216: A4 at 300 pixels an inch (PWG 5102.4: width and height at 372, resolution at 276 of the header).
    assert struct.unpack_from(">II", data, 4 + 372) == (2480, 3508)
    assert struct.unpack_from(">II", data, 4 + 276) == (300, 300)
    assert call.document("run", "show", run)["jobs"][0]["asked"]["document-format"] == "image/pwg-raster"


@needs_printer
def test_a_printer_that_takes_only_jpeg_gets_one_within_its_limits_and_unscaled(
    call: Caller, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = CONF.read_text(encoding="utf-8").replace("application/pdf,", "").replace(",image/pwg-raster", "")
    # PWG 5100.13: the printer's largest JPEG. A4 at 600 pixels an inch is 4961 × 7016, at 300 it is 2480 × 3508.
    limits = "".join(f"\nATTR rangeOfInteger jpeg-{axis}-dimension-supported 0-4000" for axis in "xy")
    run, data = sent_to(call, tmp_path, told + limits + "\n", "jpg")
    said = capsys.readouterr().err
    with Image.open(io.BytesIO(data)) as image:
        assert (image.format, image.size) == ("JPEG", (2480, 3508))
        assert image.info["dpi"] == (300, 300)
    asked = call.document("run", "show", run)["jobs"][0]["asked"]
    assert (asked["document-format"], asked["print-scaling"]) == ("image/jpeg", "none")
    assert "measure the first sheet" in said


@needs_printer
def test_a_jpeg_is_not_sent_where_the_printer_may_scale_it(call: Caller, tmp_path: Path) -> None:
    told = CONF.read_text(encoding="utf-8").replace("application/pdf,", "").replace(",image/pwg-raster", "")
    conf = tmp_path / "scaling.conf"
    conf.write_text(told.replace("fill,fit,none", "fill,fit"), encoding="utf-8")
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    with real_printer(tmp_path / "scaling", "exit 0", conf) as found:
        said = call.refusal("run", "send", run, "1", "--to", found.uri, "--yes")
    assert "nor a JPEG at true size" in said
    assert "tackside run instructions" in said


@needs_printer
def test_a_run_file_that_has_changed_is_not_sent(call: Caller, tmp_path: Path, printer: RealPrinter) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    (tmp_path / "run.toml").write_text(RUN.replace("quantity = 4", "quantity = 400"), encoding="utf-8")
    assert "has changed since" in call.refusal("run", "send", run, "1", "--to", printer.uri, "--yes")


@needs_printer
def test_people_are_sent_one_by_one_and_go_on_where_it_stopped(
    call: Caller, tmp_path: Path, printer: RealPrinter, capsys: pytest.CaptureFixture[str]
) -> None:
    named = CARD + '[[texts]]\npanel = "back"\ntext = "For {name}"\n'
    (tmp_path / "boats.toml").write_text(named, encoding="utf-8")
    (tmp_path / "people.csv").write_text("name\nAda\nBo\nCy\n", encoding="utf-8")
    (tmp_path / "run.toml").write_text(
        RUN.replace("quantity = 4", 'recipients = "people.csv"'), encoding="utf-8"
    )
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    sending = ["--bench", str(call.folder), "run", "send", run, "1", "--to", printer.uri, "--yes", "--json"]
    assert main([*sending, "--sheets", "2"]) == 0
    assert main(sending) == 0
    capsys.readouterr()
    jobs = call.document("run", "show", run)["jobs"]
    assert [job["document"] for job in jobs] == ["Boats, row 1", "Boats, row 2", "Boats, row 3"]
    assert len({job["document_sha256"] for job in jobs}) == 3
    for file in (printer.folder / "spool").glob("*.pdf"):
        file.unlink()


@needs_printer
def test_a_job_that_the_printer_gives_up_is_told_and_recorded(
    call: Caller, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    with real_printer(tmp_path / "aborting", "exit 1") as found:
        assert main(["--bench", str(call.folder), "run", "send", run, "1", "--to", found.uri, "--yes"]) == 2
    said = capsys.readouterr().err.splitlines()[-1]
    assert "was given up by the printer" in said
    assert "count what came out" in said
    assert [job["state"] for job in call.document("run", "show", run)["jobs"]] == ["aborted"]
    assert "cannot reach the printer" in call.refusal("run", "send", run, "1", "--to", found.uri, "--yes")
