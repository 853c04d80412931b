"""A workbench that was left running while a newer version took its bench over: every page says so, and what to do."""

from __future__ import annotations

import re
import urllib.error
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urljoin

import pytest
from fastapi.routing import APIRoute

from tackside.bench.store import Bench
from tackside.web.routes import ROUTERS
from tests.bench.newer_version import FORM, form_in, newer_version, stocks_in, take_over
from tests.cli.test_start import address_of, posix, started
from tests.web.workshop import TestClient

FIX = "stop this workbench and start it with the newer version"
STOCK = {"name": "Eider Pearl 260", "width": "210", "height": "297", "units": "mm"}
# Empty forms, and what the bench keeps nothing of.
WITHOUT_RECORDS = {
    "/preferences", "/describe/stock", "/take-in", "/describe/printer", "/describe/printer/ask", "/read",
    "/api/session",
}  # fmt: skip


def addresses(name: str) -> list[str]:
    """Of every page, with a name in it where it asks for one."""
    routes = (each for router in ROUTERS for each in router.routes if isinstance(each, APIRoute))
    return [re.sub(r"\{[^}]*\}", name, each.path) for each in routes if "GET" in each.methods]


def test_every_page_that_shows_records_says_what_to_do(client: TestClient, bench: Bench) -> None:
    pages = [
        each for each in addresses(bench.trials.list()[-1].id) if client.get(each).status_code in (200, 404)
    ]
    take_over(bench.folder)
    refused = {
        each: said.status_code
        for each in pages
        if (said := client.get(each)).status_code != 404
        and (FIX in said.text.lower() or "database.form-changed" in said.text)
    }
    shown = {each for each in pages if client.get(each).status_code == 200}
    assert set(refused.values()) == {503}
    assert len(refused) > 50
    assert shown == WITHOUT_RECORDS


def test_what_is_sent_is_refused_and_not_kept(client: TestClient, bench: Bench) -> None:
    take_over(bench.folder)
    before = stocks_in(bench.folder)
    answer = client.post("/describe/stock", data=STOCK)
    assert answer.status_code == 503
    assert FIX in answer.text.lower()
    assert 'value="Eider Pearl 260"' in answer.text  # what was typed is still there
    assert stocks_in(bench.folder) == before


@pytest.mark.parametrize(
    ("language", "said"),
    [("de", "starten Sie sie mit der neueren Version"), ("fr", "démarrez-le avec la version plus récente")],
)
def test_it_is_said_in_the_readers_language(
    client: TestClient, bench: Bench, language: str, said: str
) -> None:
    take_over(bench.folder)
    assert said in client.get("/stocks", headers={"accept-language": language}).text


@posix
def test_a_running_workbench_and_a_command_of_the_newer_version(tmp_path: Path) -> None:
    """Both as programs of their own: the workbench stays up, its jobs' keepers too, and ends as ever."""
    Bench.open(tmp_path / "bench")
    with started(tmp_path) as running:
        try:
            address = address_of(running)
            browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
            browser.open(address, timeout=60).close()
            newer_version(tmp_path).run(tmp_path / "bench")
            for page in ("/", "/stocks", "/jobs"):
                with pytest.raises(urllib.error.HTTPError) as told:
                    browser.open(urljoin(address, page), timeout=60)
                assert told.value.code == 503
                with told.value as answer:
                    text = answer.read().decode()
                assert FIX in text.lower()
                assert "Traceback" not in text
            assert running.poll() is None
        finally:
            running.terminate()
        assert running.stderr is not None
        assert "Traceback" not in running.stderr.read()
    assert form_in(tmp_path / "bench") == FORM
