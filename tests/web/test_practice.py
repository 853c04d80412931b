"""Practice in the browser: begun, printed, read, judged and revealed; marked on every page, in no list."""

from __future__ import annotations

import html

import pytest

from tackside.bench.store import Bench
from tests.web.at_work import run_jobs
from tests.web.workshop import TestClient


@pytest.fixture
def real(bench: Bench) -> str:
    return bench.trials.list()[0].id


@pytest.mark.slow
def test_a_sheet_is_printed_read_judged_and_revealed(client: TestClient, bench: Bench, real: str) -> None:
    count = len(bench.trials.list())
    begun = client.post("/practice", data={"trial": real, "fault": "too-little-ink"})
    place = begun.headers["location"]
    trial = place.removeprefix("/practice/")
    assert "The fault that you chose: Too little ink" in _text(client, place)
    assert client.get(f"/trials/{trial}").headers["location"] == place
    assert [job.state for job in run_jobs(bench)] == ["done"]
    assert client.get(f"{place}/scan-1.tif").headers["content-type"] == "image/tiff"
    assert client.get(f"{place}/scan-2.tif").status_code == 404
    assert client.post(f"{place}/read").headers["location"] == f"/trials/{trial}/read"
    assert [job.state for job in run_jobs(bench)] == ["done"]  # and no card is prepared for choosing
    page = _text(client, f"/trials/{trial}")
    assert "printed by the virtual press on an invented card" in page
    assert "Guess, and see the truth" in page
    assert "Compare" not in page.split('id="content"')[1].split("Likely causes")[0]
    assert "printed by the virtual press" in _text(client, f"/trials/{trial}/read")
    told = client.post(f"{place}/reveal").headers["location"]
    truth = _text(client, told)
    assert "The verdict" in truth
    assert "You guessed" not in truth  # of a fault that was chosen there is nothing to guess
    assert len(bench.trials.list()) == count
    for listed in ("/trials", "/compare", "/report", "/"):
        assert trial not in client.get(listed).text
    assert trial in client.get("/practice").text


def test_a_hidden_fault_stays_hidden(client: TestClient, bench: Bench, real: str) -> None:
    place = client.post("/practice", data={"trial": real, "fault": ""}).headers["location"]
    page = _text(client, place)
    assert "One fault may be in this print, or none" in page
    assert "The fault that you chose" not in page
    assert "You guessed: Something scales the page" in _text(
        client, client.post(f"{place}/reveal", data={"guess": "scaling"}).headers["location"]
    ) or "You guessed right" in _text(client, place)
    assert "fault" not in client.get(f"/api{place.replace('practice', 'trials')}").text


def test_the_pages_lead_to_practice(client: TestClient, real: str) -> None:
    assert f"/practice?trial={real}" in client.get(f"/trials/{real}/print").text
    assert 'href="/practice"' in client.get("/trials").text
    assert f'value="{real}" selected' in client.get(f"/practice?trial={real}").text


def test_what_cannot_be_is_refused(client: TestClient, real: str) -> None:
    assert client.post("/practice", data={"trial": real, "fault": "gremlins"}).status_code in (400, 422)
    assert client.get(f"/practice/{real}").status_code == 404


def _text(client: TestClient, address: str) -> str:
    return " ".join(html.unescape(client.get(address).text).split())
