"""Uploaded and watched files: a scanner's PDF is read page by page, and a scan of several sheets for each of them."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tackside.bench.store import Bench
from tackside.errors import BadScan
from tackside.web.jobs import arrived, read_print
from tackside.web.jobs.engine.results import href_of
from tackside.web.jobs.engine.task import Task
from tests.cli.test_read_many import made  # noqa: F401  the fixture
from tests.reading.document.pdfs import scanned_pdf
from tests.reading.scan.scans import save
from tests.web.workshop import client_of, furnish

Made = tuple[Path, dict[str, np.ndarray]]


def done(
    bench: Bench, folder: Path, does: Callable[[Task], dict[str, Any]], *files: Path, **asked: Any
) -> Any:
    folder.mkdir()
    given = [{"sha256": bench.keep_file(file), "name": file.name} for file in files]
    return does(Task(bench, {"files": given, **asked}, folder, lambda share, said: None))


def test_a_pdf_is_read_on_its_trials_page(made: Made, tmp_path: Path) -> None:  # noqa: F811
    bench = Bench.open(made[0] / "bench")
    trial, pixels = next(iter(made[1].items()))
    pdf = scanned_pdf(tmp_path / "desk.pdf", [pixels], 150)
    result = done(bench, tmp_path / "work", read_print.read, pdf, trial=trial)
    kept = bench.readings.standing(trial)
    assert (kept.id, kept.source_name) == (result["reading"], "desk.pdf")
    assert bench.file(kept.source_sha256).read_bytes().startswith(b"\xff\xd8")
    # The page's picture is prepared to be looked at, as any scan is.
    assert list((bench.folder / "cache" / "scans").rglob("whole.jpg"))


def test_what_arrives_is_read_for_every_sheet_that_it_shows(made: Made, tmp_path: Path) -> None:  # noqa: F811
    bench = Bench.open(made[0] / "bench")
    before = {trial: len(bench.readings.list(trial)) for trial in made[1]}
    pdf = scanned_pdf(tmp_path / "evening.pdf", list(made[1].values()), 150)
    done(bench, tmp_path / "one", arrived.read, pdf)
    assert {trial: len(bench.readings.list(trial)) - 1 for trial in made[1]} == before


def test_what_is_of_no_use_is_said_when_the_others_are_read(made: Made, tmp_path: Path) -> None:  # noqa: F811
    bench = Bench.open(made[0] / "bench")
    trial, pixels = next(iter(made[1].items()))
    before = len(bench.readings.list(trial))
    good = save(pixels, tmp_path / "good.tif", ppi=150)
    bare = save(np.full((300, 300, 3), 200, np.uint8), tmp_path / "bare.tif")
    with pytest.raises(BadScan, match=r"^bare\.tif shows no tag"):
        done(bench, tmp_path / "two", arrived.read, bare, good)
    assert len(bench.readings.list(trial)) == before + 1


def test_a_sheet_that_cannot_be_read_does_not_keep_the_others_out(made: Made, tmp_path: Path) -> None:  # noqa: F811
    bench = Bench.open(made[0] / "bench")
    (first, spoilt), (second, pixels) = list(made[1].items())[:2]
    before = [len(bench.readings.list(trial)) for trial in (first, second)]
    rows = len(spoilt)
    torn = spoilt.copy()
    torn[rows // 3 :] = 255  # its tag is there, most of its marks are not
    files = [
        save(torn, tmp_path / "torn.tif", ppi=150),
        save(np.full((300, 300, 3), 200, np.uint8), tmp_path / "bare.tif"),
        save(pixels, tmp_path / "good.tif", ppi=150),
    ]
    with pytest.raises(BadScan) as raised:
        done(bench, tmp_path / "three", arrived.read, *files)
    assert raised.value.message.code == "arrived.several"
    assert raised.value.message.value("count") == 2
    for name in ("bare.tif", "torn.tif"):
        assert name in str(raised.value)
    assert [len(bench.readings.list(trial)) for trial in (first, second)] == [before[0], before[1] + 1]


def test_scans_of_several_prints_are_dropped_on_one_page(tmp_path: Path) -> None:
    bench = furnish(tmp_path / "bench")
    client = client_of(bench)
    assert "multiple" in client.get("/read").text
    assert 'href="/read"' in client.get("/trials").text
    files = [("files", (f"scan {n}.tif", b"II*\0%d" % n, "image/tiff")) for n in range(3)]
    answer = client.post("/read", files=files, data={"device": "flatbed"})
    (job,) = bench.jobs.list(kind="arrived")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/read?job={job.id}"
    assert [each["name"] for each in job.asked["files"]] == ["scan 0.tif", "scan 1.tif", "scan 2.tif"]
    assert job.asked["device"] == "flatbed"
    assert "Reading scans by their tags" in client.get(f"/read?job={job.id}").text
    assert client.get("/read?job=none").status_code == 200
    assert client.post("/read").status_code == 422
    for result, page in (
        ({"trial": "3K1P86AA"}, "/trials/3K1P86AA"),
        ({"trial": "x", "address": "/trials"}, "/trials"),
    ):
        assert href_of(replace(job, result=result)) == page


def test_the_page_shows_where_a_scan_was_spoilt(made: Made, tmp_path: Path) -> None:  # noqa: F811
    bench = Bench.open(made[0] / "bench")
    trial, pixels = next(iter(made[1].items()))
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "JPEG", quality=40)
    scan = save(np.asarray(Image.open(stream)), tmp_path / "was-jpeg.tif", ppi=150)
    done(bench, tmp_path / "work", read_print.read, scan, trial=trial)
    kept = bench.readings.standing(trial)
    client = client_of(bench)
    page = client.get(f"/trials/{trial}").text
    where = f"/trials/{trial}/scans/{kept.source_sha256}/spoilt/"
    assert f'src="{where}scan.once-heavy-jpeg.png"' in page
    assert "was-jpeg.tif was once a heavily compressed JPEG" in page
    shown = client.get(f"{where}scan.once-heavy-jpeg.png")
    assert shown.headers["content-type"] == "image/png"
    assert Image.open(io.BytesIO(shown.content)).size == (960, 360)
    for wrong in ("scan.sharpened.png", "..%2Ffound.png", "SCAN.png"):
        assert client.get(where + wrong).status_code == 404
