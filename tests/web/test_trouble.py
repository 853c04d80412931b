"""When the disk, the bench or the program itself gives trouble, a person is told what and how to mend it."""

from __future__ import annotations

import errno
import os
import sqlite3
from pathlib import Path

import pytest

from tackside.bench.repositories import kept_files
from tackside.bench.store import Bench
from tackside.cli.main import main
from tackside.errors import StorageTrouble
from tackside.messages.message import Message
from tackside.messages.wording import as_sentence
from tackside.web.app import create_app
from tests.web.workshop import TestClient, client_of

STOCK = {"name": "Eider Pearl 260", "width": "210", "height": "297", "units": "mm"}


def test_a_bench_of_a_newer_version_is_refused_with_the_mend(
    bench: Bench, capsys: pytest.CaptureFixture[str]
) -> None:
    database = sqlite3.connect(bench.folder / "bench.sqlite")
    database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.commit()
    database.close()
    with pytest.raises(StorageTrouble, match=r"made by a newer Tackside"):
        create_app(bench.folder)
    assert main(["--bench", str(bench.folder), "start", "--no-browser"]) == 2
    told = capsys.readouterr().err
    assert "install the newer version" in told
    assert told.count("\n") == 1


def test_a_full_disk_keeps_what_was_typed(
    client: TestClient, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise StorageTrouble("database.full", bench=str(bench.folder))

    monkeypatch.setattr(type(bench.stocks), "add", full)
    answer = client.post("/describe/stock", data=STOCK)
    assert answer.status_code == 503
    assert "the disk is full" in answer.text
    assert 'value="Eider Pearl 260"' in answer.text


def test_an_upload_onto_a_full_disk_is_told_and_leaves_nothing(
    client: TestClient, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(kept_files.os, "fsync", full)
    trial, jobs = bench.trials.list()[-1].id, bench.jobs.list()
    answer = client.post(f"/trials/{trial}/read", files={"files": ("a.tif", b"II*\0")})
    assert answer.status_code == 503
    assert "the disk is full" in answer.text
    assert bench.jobs.list() == jobs
    assert list((bench.folder / "incoming").glob("*")) == []


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="a super user may write anywhere")
def test_a_bench_that_can_only_be_read_is_still_shown(client: TestClient, bench: Bench) -> None:
    for path in (bench.folder / "bench.sqlite", bench.folder):
        path.chmod(0o555)
    assert client.get("/stocks").status_code == 200
    assert client.post("/describe/stock", data=STOCK).status_code == 503
    bench.folder.chmod(0o755)


def test_a_fault_of_our_own_shows_no_traceback(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    client = client_of(bench)
    broken = TestClient(client.app, base_url="http://127.0.0.1", raise_server_exceptions=False)

    def fault(*_: object, **__: object) -> None:
        raise ZeroDivisionError("secret path /home/someone")

    monkeypatch.setattr(type(bench.catalogue), "stocks", fault)
    answer = broken.get("/stocks")
    assert answer.status_code == 500
    assert "tackside bench check says whether your records are whole" in answer.text.lower()
    assert "someone" not in answer.text
    assert "Traceback" not in answer.text
    told = broken.get("/api/stocks").json()
    assert (told["code"], told["values"]) == ("form.own-fault", {"kind": "ZeroDivisionError"})
    assert told["what"].startswith("a fault of Tackside")


def test_a_part_of_a_page_gets_its_trouble_as_a_part(client: TestClient) -> None:
    answer = client.get("/jobs/none", headers={"hx-request": "true"})
    assert answer.status_code == 404
    assert "<html" not in answer.text
    assert 'role="alert"' in answer.text


def test_words_of_the_family_become_sentences() -> None:
    assert as_sentence("the bench is full") == "The bench is full."
    assert as_sentence("my scan.tif is damaged") == "My scan.tif is damaged."
    assert as_sentence("scan.tif is damaged") == "scan.tif is damaged."


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--port", "99999"], "99999 is no port"),
        (["--listen", "example.com"], "is no address to listen on"),
        (["--name", "bench.example"], "--name goes with --listen"),
        (["--listen", "127.0.0.1"], "--listen needs a password"),
        (["--watch", "/nowhere/at/all"], "there is no folder"),
    ],
)
def test_start_refuses_what_makes_no_sense(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.delenv("TACKSIDE_PASSWORD", raising=False)
    assert main(["--bench", str(tmp_path), "start", "--no-browser", *arguments]) == 2
    assert words in capsys.readouterr().err


def test_a_short_password_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TACKSIDE_PASSWORD", "short")
    assert main(["--bench", str(tmp_path), "start", "--listen", "127.0.0.1"]) == 2
    assert "fewer than 10 characters" in capsys.readouterr().err


def test_a_page_and_the_api_each_say_it_in_their_own_way(client: TestClient) -> None:
    page, told = client.get("/stocks/Nothing"), client.get("/api/stocks/Nothing").json()
    assert page.status_code == 404
    assert "the page Stocks" in page.text
    assert "tackside stock list" not in page.text
    assert "tackside stock list" in told["mend"]
    assert (told["code"], told["values"]["name"]) == ("bench.no-stock", "Nothing")
    assert told["place"] is None


def test_trouble_is_told_in_german(client: TestClient) -> None:
    answer = client.get("/stocks/Nothing", headers={"accept-language": "de"})
    assert "Es gibt keinen Karton „Nothing“." in answer.text
    assert '<p class="strong">Es gibt' in answer.text  # not marked as English


def test_a_failed_job_says_why_in_the_readers_language(client: TestClient, bench: Bench) -> None:
    job = bench.jobs.add("picture", {})
    bench.jobs.fail(job.id, Message("job.too-long"))
    for language, words in (("en", "It took longer than a job may take."), ("de", "Es dauerte länger, als")):
        assert words in client.get(f"/jobs/{job.id}", headers={"accept-language": language}).text
    told = client.get(f"/api/jobs/{job.id}").json()
    assert (told["code"], told["values"], told["place"]) == ("job.too-long", {}, None)
    assert told["what"] == "it took longer than a job may take"
