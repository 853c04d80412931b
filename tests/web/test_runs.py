"""Runs: what was planned is shown, and sheets are counted at the printer."""

from __future__ import annotations

import re

from tackside.bench.store import Bench
from tests.web.workshop import TestClient


def test_sheets_are_counted_and_what_is_left_is_said(client: TestClient, bench: Bench) -> None:
    run = bench.runs.list()[0].id
    page = client.get(f"/runs/{run}").text
    assert "0 of 40 good, 40 left" in page
    assert "1.10 GBP (0.95 – 1.30)" in page
    assert re.search(r"Harbour Satin 300</th>.*?2 of 25</td>.*?>5</td>", page)
    counted = {"batch": "1", "good": "12", "spoiled": "2", "set-up": "1", "why": "skewed"}
    assert client.post(f"/runs/{run}/count", data=counted).status_code == 303
    page = client.get(f"/runs/{run}").text
    assert "12 of 40 good, 28 left" in page
    assert "2 spoiled, 1 to set up" in page
    assert "skewed: 2" in page
    assert [each.why for each in bench.runs.tallies(run) if each.kind == "good"] == [None]


def test_what_cannot_be_counted_is_refused_and_kept_in_the_form(client: TestClient, bench: Bench) -> None:
    run = bench.runs.list()[0].id
    for typed, words in (
        ({"batch": "1"}, "Nothing was counted."),
        ({"batch": "1", "good": "many"}, "Good: “many” is no number of sheets.</p><p>Give a whole number"),
        ({"batch": "1", "good": "9" * 30}, "Give a whole number"),
        ({"batch": "9", "good": "1"}, "has no batch 9."),
    ):
        answer = client.post(f"/runs/{run}/count", data=typed)
        assert answer.status_code == 422
        assert words in answer.text
    assert 'value="many"' in client.post(f"/runs/{run}/count", data={"batch": "1", "good": "many"}).text
    assert bench.runs.tallies(run) == ()
    assert client.get("/runs/NOWHERE1").status_code == 404
