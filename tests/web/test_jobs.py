"""Work in the background: in its turn, with a share, stopped when asked, never lost and never left half-done."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import pyvips
from sqlalchemy import text

from tackside.bench.database.storage import connect, sqlite_url
from tackside.bench.repositories.jobs import MOST_ATTEMPTS, SILENCE, Job
from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.web.jobs import choose, read_print, sheet_files
from tackside.web.jobs.engine.runner import Runner, Worker
from tackside.web.jobs.engine.task import Task
from tests.web.workshop import TestClient, laid_on_glass


def until(state: Callable[[], bool], seconds: float = 60.0) -> None:
    deadline = time.monotonic() + seconds
    while not state():
        assert time.monotonic() < deadline, "it never came to pass"
        time.sleep(0.05)


def told(bench: Bench, job: Job) -> Job:
    return bench.jobs.get(job.id)


def keeper_silent_since(bench: Bench, moment: datetime) -> None:
    with connect(sqlite_url(bench.folder / "bench.sqlite")).begin() as connection:
        connection.execute(
            text("UPDATE job SET beat_at = :m"), {"m": moment.strftime("%Y-%m-%d %H:%M:%S.%f")}
        )


@pytest.fixture
def runner(bench: Bench) -> Iterator[Runner]:
    made = Runner(bench)
    yield made
    made.stop()


def test_jobs_are_claimed_in_their_turn_each_by_one_keeper(bench: Bench) -> None:
    first, second = (bench.jobs.add("sheet", {"trial": "x"}, subject=f"s{n}") for n in range(2))
    assert [bench.jobs.claim(keeper) for keeper in ("one", "two", "three")][2] is None
    assert told(bench, first).state == told(bench, second).state == "running"


def test_a_waiting_job_is_stopped_at_once_and_an_ended_one_stays_ended(bench: Bench) -> None:
    job = bench.jobs.add("sheet", {})
    assert bench.jobs.cancel(job.id).state == "cancelled"
    bench.jobs.finish(job.id, {})
    assert told(bench, job).state == "cancelled"


def test_what_a_silent_keeper_left_is_begun_again_once_and_then_ended_clearly(bench: Bench) -> None:
    job = bench.jobs.add("sheet", {})
    for attempt in range(1, MOST_ATTEMPTS + 1):
        claimed = bench.jobs.claim(f"keeper {attempt}")
        assert claimed is not None
        assert claimed.attempts == attempt
        assert bench.jobs.take_over("other") == ()  # it was heard of a moment ago
        keeper_silent_since(bench, datetime.now(UTC) - 2 * SILENCE)
        assert len(bench.jobs.take_over("other")) == 1
    ended = told(bench, job)
    assert ended.state == "failed"
    assert ended.fault == Message("job.stopped-twice")


def test_a_keeper_that_is_heard_of_keeps_its_jobs(bench: Bench) -> None:
    bench.jobs.add("sheet", {})
    bench.jobs.claim("one")
    keeper_silent_since(bench, datetime.now(UTC) - timedelta(hours=1))
    bench.jobs.beat("one")
    assert bench.jobs.take_over("other") == ()


def done_here(bench: Bench, work: Path, does: Callable[[Task], dict[str, Any]], kind: str) -> dict[str, Any]:
    """Do the newest job of a kind here, as a worker would."""
    job = bench.jobs.list(kind=kind, count=1)[0]
    work.mkdir()
    result = does(Task(bench, job.asked, work, lambda share, said: None))
    bench.jobs.finish(job.id, result)
    return result


def test_a_bad_file_is_refused_in_the_familys_words_under_its_own_name(bench: Bench, tmp_path: Path) -> None:
    bad = tmp_path / "upload"
    bad.write_bytes(b"II*\0 and nothing more")
    kept = {"sha256": bench.keep_file(bad, "my scan.tif"), "name": "my scan.tif"}
    trial = bench.trials.list()[0].id
    bench.jobs.add("read", {"trial": trial, "files": [kept], "device": ""}, subject=trial)
    with pytest.raises(BadImage, match=r"^my scan\.tif cannot be opened as an image"):
        done_here(bench, tmp_path / "work", read_print.read, "read")
    assert len(bench.readings.list(trial)) == 1


@pytest.mark.slow
def test_a_job_is_stopped_when_asked_and_the_next_one_runs(bench: Bench, runner: Runner) -> None:
    trial = bench.trials.list()[0].id
    jobs = [bench.jobs.add("sheet", {"trial": trial}, subject=trial) for _ in range(2)]
    runner.start()
    until(lambda: told(bench, jobs[0]).state == "running")
    bench.jobs.cancel(jobs[0].id)
    until(lambda: not told(bench, jobs[1]).is_open)
    assert told(bench, jobs[0]).state == "cancelled"
    assert told(bench, jobs[1]).state == "done"


def test_a_job_ends_and_the_next_one_runs_where_no_process_can_be_begun(
    bench: Bench, runner: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin = runner._new_worker

    def none_left() -> Worker:
        monkeypatch.setattr(runner, "_new_worker", begin)
        raise BlockingIOError("resource temporarily unavailable")

    monkeypatch.setattr(runner, "_new_worker", none_left)
    jobs = [bench.jobs.add("sheet", {"trial": "none"}, subject="none") for _ in range(2)]
    runner.start()
    until(lambda: not told(bench, jobs[1]).is_open)
    first, second = (told(bench, each).fault for each in jobs)
    assert first is not None
    assert second is not None
    assert first.code == "job.worker-out-of-reach"
    assert second.code == "bench.no-trial"


@pytest.mark.slow
def test_a_runner_stopped_in_order_leaves_its_job_for_the_next(bench: Bench) -> None:
    trial = bench.trials.list()[0].id
    job = bench.jobs.add("sheet", {"trial": trial}, subject=trial)
    first = Runner(bench)
    first.start()
    until(lambda: told(bench, job).state == "running")
    first.stop()
    waiting = told(bench, job)
    assert (waiting.state, waiting.attempts) == ("queued", 0)


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kills a process the POSIX way")
def test_a_server_killed_at_work_leaves_a_job_that_the_next_one_finishes(bench: Bench) -> None:
    trial = bench.trials.list()[0].id
    job = bench.jobs.add("sheet", {"trial": trial}, subject=trial)
    command = [
        sys.executable,
        "-m",
        "tackside",
        "--bench",
        str(bench.folder),
        "start",
        "--no-browser",
        "--port",
        "0",
    ]
    server = subprocess.Popen(command, stderr=subprocess.DEVNULL, start_new_session=True)
    try:
        until(lambda: told(bench, job).state == "running")
    finally:
        os.killpg(server.pid, signal.SIGKILL)
        server.wait()
    assert told(bench, job).state == "running"  # nobody was there to say otherwise
    keeper_silent_since(bench, datetime.now(UTC) - 2 * SILENCE)
    runner = Runner(bench)
    runner.start()
    try:
        until(lambda: not told(bench, job).is_open)
    finally:
        runner.stop()
    assert told(bench, job).state == "done"
    assert told(bench, job).attempts == 2


@pytest.mark.slow
def test_a_scan_goes_in_and_a_verdict_comes_out(bench: Bench, client: TestClient, tmp_path: Path) -> None:
    trial = bench.trials.list()[2]
    assert client.get(f"/trials/{trial.id}/sheet.tif").status_code == 404
    bench.jobs.add("sheet", {"trial": trial.id}, subject=trial.id)
    done_here(bench, tmp_path / "one", sheet_files.make, "sheet")
    sheet, pdf = tmp_path / "sheet.tif", tmp_path / "sheet.pdf"
    for file in (sheet, pdf):
        taken = client.get(f"/trials/{trial.id}/{file.name}")
        assert (
            taken.headers["content-disposition"] == f'attachment; filename="tackside-{trial.id}{file.suffix}"'
        )
        file.write_bytes(taken.content)
    image = pyvips.Image.new_from_file(str(sheet))
    assert (image.width, image.height) == trial.sheet.size_px
    with pikepdf.open(pdf) as opened:  # 72 points an inch (ISO 32000-1, 8.3.2.3)
        width = float(opened.pages[0].mediabox[2])
        assert width == pytest.approx(trial.sheet.size_mm[0] / 25.4 * 72, abs=0.01)
    scan = laid_on_glass(sheet, trial.sheet, tmp_path / "scan.tif")
    with scan.open("rb") as stream:
        files = {"files": ("my scan.tif", stream)}
        client.post(f"/trials/{trial.id}/read", files=files, data={"device": "flatbed"})
    done_here(bench, tmp_path / "two", read_print.read, "read")
    assert not list((bench.folder / "cache").glob("*.npy"))  # the verdict does not wait for a choice's tables
    done_here(bench, tmp_path / "three", choose.prepare_card, "prepare-card")
    assert (
        len(list((bench.folder / "cache").glob("*.npy"))) == 6
    )  # three ways to the card, from each of two spaces
    reading = bench.readings.standing(trial.id)
    assert (reading.source_name, reading.device) == ("my scan.tif", "flatbed")
    assert bench.verdicts.standing(trial.id).reading == reading.id
    page = client.get(f"/trials/{trial.id}?show=black").text
    assert page.count('class="shown"') >= 1
    base = f"/trials/{trial.id}/scans/{reading.source_sha256}"
    whole = pyvips.Image.new_from_buffer(client.get(f"{base}/whole.jpg").content, "")
    assert max(whole.width, whole.height) == 1600
    levels = int(page.split('data-levels="')[1].split('"')[0])
    tile = pyvips.Image.new_from_buffer(client.get(f"{base}/tiles/{levels - 1}/0/0.jpg").content, "")
    assert (tile.width, tile.height) == (512, 512)  # the scan's own pixels
    for wrong in ("/tiles/99/0/0.jpg", f"/tiles/{levels - 1}/400/0.jpg", "/tiles/-1/0/0.jpg"):
        assert client.get(base + wrong).status_code == 404
    assert client.get(f"/trials/{trial.id}/thumbnail").headers["content-type"] == "image/jpeg"
