"""The commands that spread their work, on a real cluster: the same documents as on this machine."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.cli.bench_of_readings import bench_of_readings
from tests.cluster import running_cluster
from tests.picture.photographs import FOLDER
from tests.report.invented import four

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    with running_cluster() as address:
        yield address


def archive(folder: Path) -> None:
    bench = Bench.open(folder)
    for number, entry in enumerate(four()[:2]):
        bench.stocks.add(entry.stock)
        bench.printers.add(entry.printer)
        trial = bench.trials.add(entry.trial.model_copy(update={"id": f"T{number}"}))
        reading = bench.readings.add(entry.reading.model_copy(update={"trial": trial.id}))
        bench.verdicts.add(entry.verdict.model_copy(update={"trial": trial.id, "reading": reading.id}))


def test_an_archive_is_judged_the_same(
    cluster: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = []
    for place, where in (("here", ("--workers", "1")), ("there", ("--cluster", cluster))):
        archive(tmp_path / place)
        found.append(Caller(tmp_path / place, capsys).document("bench", "rejudge", *where))
    assert found[0] == found[1]
    assert len(found[0]["changed"]) == 2


def test_pictures_are_weighed_the_same(
    cluster: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench_of_readings(tmp_path / "bench", ("harbour-satin-300", "shingle-craft-250"))
    asked = ("choose", FOLDER / "coffee.png", FOLDER / "rocket.jpg")
    call = Caller(tmp_path / "bench", capsys)
    assert call.document(*asked, "--cluster", cluster) == call.document(*asked)


def test_a_run_of_cards_is_the_same(cluster: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call = Caller(tmp_path / "bench", capsys)
    call.text("stock", "add", SATIN)
    call.text("printer", "add", TERN)
    card, guests = tmp_path / "card.toml", tmp_path / "guests.csv"
    names = ("--stock", "Harbour Satin 300", "--printer", "Tern 8")
    call.document("card", "new", "by-name", "--out", card, *names)
    guests.write_text("name,table\nAnn,1\nZoë,2\n", encoding="utf-8")
    made = {}
    for place, where in (("here", ()), ("there", ("--cluster", cluster))):
        (tmp_path / place).mkdir()
        out = tmp_path / place / "card.pdf"
        files = call.document("card", "make", card, "--out", out, "--csv", guests, *where)["files"]
        made[place] = [Path(file).read_bytes() for file in files]
    assert made["here"] == made["there"]


def test_a_cluster_that_is_not_there_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tackside.tasks.workers.CONNECT_SECONDS", 1)
    archive(tmp_path / "bench")
    said = Caller(tmp_path / "bench", capsys).refusal("bench", "rejudge", "--cluster", "tcp://127.0.0.1:9")
    assert "no cluster answers at tcp://127.0.0.1:9; check the address" in said


def test_a_cluster_of_another_version_is_one_line_and_nothing_is_done(
    cluster: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tackside.tasks.workers.__version__", "9.9")
    archive(tmp_path / "bench")
    said = Caller(tmp_path / "bench", capsys).refusal("bench", "rejudge", "--cluster", cluster)
    assert "run Tackside" in said
    assert "bring all to 9.9" in said
    assert len(Bench.open(tmp_path / "bench", create=False).verdicts.list("T0")) == 1
