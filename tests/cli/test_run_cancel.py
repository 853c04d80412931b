"""Ctrl-C while sheets are printed, ``tackside run cancel``, and jobs that nobody has followed to their end."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.cli.main import main
from tackside.records.run import PrintJob
from tackside.run.ipp.job import JobNews
from tackside.workflow.runs.send import make_ready, send
from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.cli.test_run import RUN, Terminal, needs_printer
from tests.run.files import CARD, PHOTOGRAPH
from tests.run.ipp.real_printer import TERN as CONF
from tests.run.ipp.real_printer import real_printer


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    caller.text("stock", "add", SATIN)
    caller.text("printer", "add", TERN)
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    (tmp_path / "boats.toml").write_text(CARD, encoding="utf-8")
    (tmp_path / "run.toml").write_text(RUN, encoding="utf-8")
    return caller


def ctrl_c_once(folder: Path, ready: str) -> threading.Thread:
    """Press Ctrl-C when a printer's command has begun to print, which makes a file of that name in ``folder``."""

    def press() -> None:
        deadline = time.monotonic() + 20
        while not (folder / ready).exists() and time.monotonic() < deadline:
            time.sleep(0.02)
        time.sleep(0.2)
        os.kill(os.getpid(), signal.SIGINT)

    thread = threading.Thread(target=press)
    thread.start()
    return thread


@needs_printer
@pytest.mark.parametrize(("typed", "state"), [("yes\n", "canceled"), ("no\n", "completed")])
def test_ctrl_c_asks_and_cancels_the_job_at_the_printer(
    call: Caller,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    typed: str,
    state: str,
) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    monkeypatch.setattr(sys, "stdin", Terminal("yes\n" + typed))
    with real_printer(tmp_path / "slow", "touch began; sleep 2") as found:
        pressed = ctrl_c_once(found.folder, "began")
        sending = ["--bench", str(call.folder), "run", "send", run, "1", "--to", found.uri]
        assert main(sending) == (2 if state == "canceled" else 0)
        pressed.join()
        said = capsys.readouterr().err
        assert "Cancel job" in said
        assert ("was cancelled" in said) == (state == "canceled")
        (job,) = call.document("run", "show", run)["jobs"]
    assert job["state"] == state
    if state == "canceled":
        assert f"tackside run count {run} 1" in job["to_do"]["text"]
        assert f"Job {job['number']}" in call.text("run", "show", run)


@needs_printer
def test_run_cancel_cancels_what_another_program_left_printing(call: Caller, tmp_path: Path) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    with real_printer(tmp_path / "slow", "sleep 3") as found:
        ready = make_ready(Bench.open(call.folder), run, 1, found.uri)

        def dies(name: str, news: JobNews) -> None:
            raise KeyboardInterrupt  # a program that is ended as soon as the printer has the job

        with pytest.raises(KeyboardInterrupt):
            send(Bench.open(call.folder), ready, dies)
        (left,) = call.document("run", "show", run)["jobs"]
        assert left["state"] in ("pending", "processing")
        assert f"tackside run cancel {run}" in left["to_do"]["text"]
        (cancelled,) = call.document("run", "cancel", run)["jobs"]
        assert cancelled["state"] == "canceled"
        assert call.document("run", "show", run)["jobs"] == [cancelled]
        assert "nothing of this run is at a printer" in call.refusal("run", "cancel", run)


@needs_printer
def test_a_job_that_was_left_is_asked_after_and_stands_as_it_ended(call: Caller, tmp_path: Path) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    bench = Bench.open(call.folder)
    with real_printer(tmp_path / "printing", "exit 0") as found:
        ready = make_ready(bench, run, 1, found.uri)
        (job,) = send(bench, ready, lambda *_: None)
        stale = job.model_copy(update={"state": "processing"})
        bench.runs.note_job(stale, 1)
        assert [each["state"] for each in call.document("run", "show", run)["jobs"]] == ["completed"]
        forgotten = stale.model_copy(update={"job_id": 4711})
        bench.runs.note_job(forgotten, 1)
        (lost,) = call.document("run", "show", run)["jobs"]
        assert (lost["state"], lost["trouble"]["code"]) == ("lost", "ipp.refused-saying")
    # The printer is gone: a job heard of a moment ago is waited for, one of an hour ago is lost.
    bench.runs.note_job(stale.model_copy(update={"made_at": datetime.now(UTC)}), 1)
    assert call.document("run", "show", run)["jobs"][0]["state"] == "processing"
    bench.runs.note_job(stale.model_copy(update={"made_at": datetime.now(UTC) - timedelta(hours=1)}), 1)
    shown = call.text("run", "show", run)
    (lost,) = call.document("run", "show", run)["jobs"]
    assert (lost["state"], lost["trouble"]["code"]) == ("lost", "ipp.not-reached")
    for part in ("lost", "display", "count what came out", f"tackside run send {run} 1"):
        assert part in " ".join(shown.split())


def test_a_job_that_was_cut_off_before_it_had_a_number_is_lost_in_the_end(
    call: Caller, tmp_path: Path
) -> None:
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    bench = Bench.open(call.folder)
    job = PrintJob(
        run=run, batch=1, printer="Tern 8", uri="ipp://127.0.0.1:9/", document="Boats", document_sha256="0" * 64,
        copies=4, asked={}, state="sent", made_at=datetime.now(UTC),
    )  # fmt: skip
    bench.runs.note_job(job, 1)
    assert call.document("run", "show", run)["jobs"][0]["state"] == "sent"
    assert "no number" in call.refusal("run", "cancel", run)
    bench.runs.note_job(job.model_copy(update={"made_at": datetime.now(UTC) - timedelta(hours=1)}), 1)
    (lost,) = call.document("run", "show", run)["jobs"]
    assert (lost["state"], lost["trouble"]["code"]) == ("lost", "printing.forgotten")


@needs_printer
def test_a_card_and_a_test_sheet_are_sent_without_a_run(
    call: Caller, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trial = call.document("sheet", "Harbour Satin 300", "Tern 8", "--out", tmp_path / "sheet.pdf")["trial"]
    with real_printer(tmp_path / "printing", "exit 0") as found:
        to = ["--to", found.uri, "--media-type", "photographic-semi-gloss"]
        assert "--yes" in call.refusal("trial", "send", trial, *to)
        told = []
        for what in (
            ["trial", "send", trial],
            ["card", "send", str(tmp_path / "boats.toml"), "--sheets", "2"],
        ):
            capsys.readouterr()
            assert main(["--bench", str(call.folder), *what, *to, "--yes", "--json"]) == 0
            told.append(json.loads(capsys.readouterr().out))
    sheet, card = told
    assert (sheet["trial"], sheet["sheets"], sheet["jobs"][0]["state"]) == (trial, 1, "completed")
    assert (card["sheets"], card["jobs"][0]["card"], card["jobs"][0]["state"]) == (2, "boats", "completed")
    assert call.document("trial", "show", trial)["settings"]["media_setting"] == "photographic-semi-gloss"


@needs_printer
def test_that_a_printer_cannot_be_asked_not_to_scale_is_said_before_the_yes(
    call: Caller, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    conf = tmp_path / "scaling.conf"
    conf.write_text(CONF.read_text(encoding="utf-8").replace("fill,fit,none", "fill,fit"), encoding="utf-8")
    run = call.document("run", "keep", tmp_path / "run.toml")["run"]
    monkeypatch.setattr(sys, "stdin", Terminal("no\n"))
    capsys.readouterr()
    with real_printer(tmp_path / "scaling", "exit 0", conf) as found:
        assert main(["--bench", str(call.folder), "run", "send", run, "1", "--to", found.uri]) == 2
        assert list((found.folder / "spool").iterdir()) == []
    said = capsys.readouterr().err
    assert 0 <= said.find("must not scale to fit") < said.index("Type yes to send")
