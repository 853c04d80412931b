"""Scan from here in the browser: a scanner chosen, sheets scanned and judged; one that lies; whom a page calls."""

from __future__ import annotations

import re
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest

from tackside.bench.store import Bench
from tackside.errors import ScannerTrouble
from tackside.sheet.render import render
from tackside.web.jobs.engine.kinds import KINDS
from tackside.web.jobs.engine.runner import Runner
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.prints import scan as scan_job
from tackside.web.routes.prints import scanning
from tackside.workflow.scanning.found import FoundScanner
from tests.reading.scan.scans import lay_pixels
from tests.reading.scanning.escl_server import scanner_of
from tests.web.at_work import run_jobs
from tests.web.test_jobs import until
from tests.web.workshop import TestClient


def waiting(bench: Bench) -> str:
    return bench.trials.list()[-1].id


@pytest.fixture
def glass(bench: Bench) -> np.ndarray:
    """The waiting trial's sheet as an even print on the glass, a little askew, with a scanner's noise."""
    sheet = bench.trials.get(waiting(bench)).sheet
    printed = np.rint(20 + render(sheet) * (224 / 255)).astype(np.uint8)
    laid = lay_pixels(printed, sheet, 300, 0.4, margin_mm=4).pixels
    noisy = 257 * (laid + np.random.default_rng(7).normal(0, 1.0, laid.shape))
    return np.clip(np.rint(noisy), 0, 65535).astype(np.uint16)


def test_from_the_button_to_the_verdict(client: TestClient, bench: Bench, glass: np.ndarray) -> None:
    trial = waiting(bench)
    assert f"/scan?trial={trial}" in client.get(f"/trials/{trial}/read").text
    assert f"/scan?trial={trial}" in client.get(f"/trials/{trial}/print").text
    with scanner_of(glass, "first.pem") as scanner:
        around = [FoundScanner("By the window", scanner.address, "Invented Scanner")]
        with patch.object(scanning, "scanners_around", lambda _: around):
            page = client.get("/scan/around", headers={"HX-Request": "true"}).text
        assert "By the window" in page
        names = dict(re.findall(r'type="hidden" name="(name [^"]+)" value="([^"]+)"', page))
        answer = client.post("/scan", data={"trial": trial, "address": scanner.address, **names})
        assert answer.status_code == 303
        assert "Scanning a sheet" in client.get(answer.headers["location"]).text
        (job,) = run_jobs(bench)[:1]
        assert (job.state, (job.result or {})["trial"]) == ("done", trial)
        part = client.get(f"/jobs/{job.id}?then=true", headers={"HX-Request": "true"})
        assert part.headers["hx-redirect"] == f"/trials/{trial}"
        kept = bench.readings.standing(trial)
        assert kept.device == "By the window, 300 ppi, 16 bits, TIFF"
        assert kept.scanned is not None
        assert "Scan the next sheet" in client.get(f"/trials/{trial}").text
        # A file that the scanner's own program made is not made alike, and not called so.
        assert "16 bits, TIFF" not in client.get(f"/trials/{trial}/read").text
        # The next time it is one click: the last scanner is offered, and the tag says which trial.
        page = client.get("/read").text
        assert "By the window" in page
        assert client.post("/scan", data={}).status_code == 303
        assert [each.state for each in run_jobs(bench) if each.kind == "scan"] == ["done"]
    page = client.get("/scan").text
    assert "Scan the next sheet" in page
    assert f"/trials/{trial}" in page
    assert [each["XResolution"] for each in scanner.settings] == ["300", "300"]


def test_a_lying_scanner_costs_one_line(client: TestClient, bench: Bench, glass: np.ndarray) -> None:
    before = sorted((bench.folder / "files").rglob("*"))
    with scanner_of(glass, lie="truncated") as scanner:
        client.post("/scan", data={"other": scanner.address, "ppi": "600"})
        (job,) = run_jobs(bench)
    assert job.state == "failed"
    assert job.fault is not None
    assert job.fault.code == "scanning.cut-short"
    assert sorted((bench.folder / "files").rglob("*")) == before
    page = client.get(f"/scan?job={job.id}").text
    assert "a picture that breaks off" in page
    # What was typed stands there for the next try.
    assert f'value="{scanner.address}"' in page
    assert '<option value="600" selected>' in page


def test_another_certificate_is_asked_about(client: TestClient, bench: Bench, glass: np.ndarray) -> None:
    with scanner_of(glass, "first.pem") as scanner:
        client.post("/scan", data={"other": scanner.address})
        run_jobs(bench)
        port = int(scanner.address.split(":")[2].split("/")[0])
    with scanner_of(glass, "second.pem", port):
        client.post("/scan", data={"address": scanner.address})
        (job,) = run_jobs(bench)
        assert job.fault is not None
        assert job.fault.code == "scanning.other-certificate"
        assert 'name="new_certificate"' in client.get(f"/scan?job={job.id}").text
        client.post("/scan", data={"address": scanner.address, "new_certificate": "1"})
        assert run_jobs(bench)[0].state == "done"


@pytest.mark.parametrize(
    "address", ["http://93.184.216.34/eSCL", "http://127.0.0.1:22/eSCL", "sane:net:somewhere.example:test:0"]
)
def test_a_page_calls_no_other_machine(client: TestClient, bench: Bench, address: str) -> None:
    client.post("/scan", data={"other": address})
    (job,) = run_jobs(bench)
    assert job.fault is not None
    assert job.fault.code in {
        "scanning.not-nearby", "scanning.not-a-scanning-port", "scanning.sane-not-listed",
    }  # fmt: skip


def test_slips_are_told_on_the_page(client: TestClient, bench: Bench) -> None:
    answer = client.post("/scan", data={"other": "my scanner"})
    assert answer.status_code == 422
    assert "neither a scanner that was used before" in answer.text
    assert client.post("/scan", data={"trial": "3K1P86AA"}).status_code == 404
    with patch.object(scanning, "scanners_around", lambda _: ()):
        assert "No scanner announces itself" in client.post("/scan", data={"do": "find"}).text
    assert bench.jobs.list(kind="scan") == ()


def test_stopping_cancels_the_job_at_the_scanner(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    with scanner_of(np.full((900, 900, 3), 9, np.uint8), lie="hangs") as scanner:
        client.post("/scan", data={"other": scanner.address})
        job = bench.jobs.claim("a test")
        assert job is not None
        (tmp_path / "work").mkdir()
        stopping = lambda: bench.jobs.get(job.id).state == "stopping"  # noqa: E731

        def stops_when_it_scans(share: float, doing: object) -> None:
            if scanner.open_jobs:
                client.post(f"/jobs/{job.id}/cancel", data={})

        task = Task(bench, job.asked, tmp_path / "work", stops_when_it_scans, stopping)
        with pytest.raises(ScannerTrouble) as told:
            scan_job.scan(task)
    assert told.value.message.code == "scanning.stopped"
    assert "DELETE /eSCL/ScanJobs/job-1" in scanner.asked
    assert list((tmp_path / "work").iterdir()) == []


def test_a_scan_that_a_person_stops_ends_as_stopped_and_not_as_failed(
    client: TestClient, bench: Bench
) -> None:
    with scanner_of(np.full((900, 900, 3), 9, np.uint8), lie="hangs") as scanner:
        client.post("/scan", data={"other": scanner.address})
        (job,) = bench.jobs.list(kind="scan")
        runner = Runner(bench, lane=KINDS["scan"].lane)
        try:
            runner.start()
            until(lambda: bool(scanner.open_jobs))
            client.post(f"/jobs/{job.id}/cancel", data={})
            until(lambda: not bench.jobs.get(job.id).is_open)
        finally:
            runner.stop()
        ended = bench.jobs.get(job.id)
        assert (ended.state, ended.fault) == ("cancelled", None)
        assert "DELETE /eSCL/ScanJobs/job-1" in scanner.asked


def test_a_scan_asked_for_long_ago_is_not_made(client: TestClient, bench: Bench, glass: np.ndarray) -> None:
    """As after the program stood still for an hour: another sheet may lie there by now."""
    with scanner_of(glass) as scanner:
        client.post("/scan", data={"other": scanner.address})
        with patch.object(scan_job, "LONG_AGO_SECONDS", -1.0):
            (job,) = run_jobs(bench)
    assert job.fault is not None
    assert job.fault.code == "scanning.asked-long-ago"
    assert scanner.asked == []


def test_settings_typed_beside_the_button_are_noted_with_the_scan(client: TestClient, bench: Bench) -> None:
    trial = waiting(bench)
    after = re.search(r'name="after"[^>]*value="(\d+)"', client.get(f"/trials/{trial}/read").text)
    assert after is not None
    typed = {"trial": trial, "other": "http://127.0.0.1:9/eSCL", "after": after[1], "drying_hours": "-3"}
    assert client.post("/scan", data=typed).status_code == 422
    assert bench.jobs.list(kind="scan") == ()
    assert client.post("/scan", data={**typed, "drying_hours": "30"}).status_code == 303
    assert bench.trials.get(trial).settings.drying_hours == 30
