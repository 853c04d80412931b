"""A stock's record handed from one bench to another, through the browser's forms."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.web.jobs import exchange
from tackside.web.jobs.engine.task import Task
from tests.web.workshop import SATIN, TestClient, client_of


def run(bench: Bench, work: Path, kind: str) -> dict[str, object]:
    """Do the newest job of a kind here, as a worker would."""
    job = bench.jobs.list(kind=kind, count=1)[0]
    work.mkdir()
    does = {"hand-on": exchange.hand_on, "take-in": exchange.take_in}[kind]
    result = does(Task(bench, job.asked, work, lambda share, said: None))
    bench.jobs.finish(job.id, result)
    return result


def test_a_stock_goes_from_bench_to_bench(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    base = "/stocks/Harbour%20Satin%20300"
    assert client.get(f"{base}/archive.zip").status_code == 404
    assert client.post(f"{base}/hand-on").status_code == 303
    run(bench, tmp_path / "one", "hand-on")
    packed = client.get(f"{base}/archive.zip")
    assert packed.headers["content-disposition"] == 'attachment; filename="harbour-satin-300.zip"'
    assert "stock.json" in zipfile.ZipFile(io.BytesIO(packed.content)).namelist()
    other = Bench.open(tmp_path / "other")
    theirs = client_of(other)
    assert theirs.post("/take-in", files={"file": ("satin.zip", packed.content)}).status_code == 303
    run(other, tmp_path / "two", "take-in")
    assert other.stocks.get(SATIN.name) == SATIN
    assert [trial.id for trial in other.trials.list()] == [
        trial.id for trial in bench.trials.list() if trial.stock == SATIN.name
    ]
    assert "Harbour Satin 300" in theirs.get("/stocks").text


def test_what_is_no_archive_is_refused_under_its_own_name(
    bench: Bench, client: TestClient, tmp_path: Path
) -> None:
    from tackside.errors import BadRecord

    assert "there is no archive" in client.post("/take-in", data={"keep": "mine"}).text
    client.post("/take-in", files={"file": ("satin.zip", b"no zip at all")})
    with pytest.raises(BadRecord, match=r"satin\.zip"):
        run(bench, tmp_path / "work", "take-in")
