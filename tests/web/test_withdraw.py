"""Withdrawing in the browser: asked about first, shown as withdrawn, put back beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.workshop import CRAFT, SATIN, TestClient, add_reading, furnish, serving

SPILL = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def judged(bench: Bench, stock: str) -> str:
    """The trial of a stock that stands."""
    return bench.catalogue.standing()[stock][0].id


def test_a_reading_leaves_the_page_and_comes_back(client: TestClient, bench: Bench) -> None:
    trial = judged(bench, SATIN.name)
    page = client.get(f"/trials/{trial}").text
    assert f'action="/readings/{trial}-r1/withdraw"' in page
    answer = client.post(f"/readings/{trial}-r1/withdraw", data={"why": "smudged"})
    assert answer.headers["location"] == f"/trials/{trial}?withdrawn={trial}-r1"
    page = client.get(f"/trials/{trial}").text
    assert "Every reading of this trial was withdrawn." in page
    assert "smudged" in page
    assert f'action="/readings/{trial}-r1/put-back"' in page
    assert SATIN.name not in bench.catalogue.standing()
    assert client.get(f"/api/trials/{trial}/verdict").status_code == 404
    assert client.get(f"/trials/{trial}/thumbnail").status_code == 200
    assert client.post(f"/readings/{trial}-r1/put-back").status_code == 303
    assert judged(bench, SATIN.name) == trial
    assert "Every reading" not in client.get(f"/trials/{trial}").text


def test_a_withdrawn_trial_is_offered_nowhere(client: TestClient, bench: Bench) -> None:
    craft, satin = judged(bench, CRAFT.name), judged(bench, SATIN.name)
    assert f'value="{craft}"' in client.get(f"/trials/{satin}").text  # to be compared with
    assert client.post(f"/trials/{craft}/withdraw", data={"why": ""}).status_code == 303
    for path in (f"/trials/{satin}", "/trials", "/compare", "/report", "/stocks", "/"):
        assert craft not in client.get(path).text, path
    away = client.get("/trials?away=yes").text
    assert craft in away
    assert "withdrawn" in away
    shown = client.get(f"/trials/{craft}").text
    assert "This trial was withdrawn." in shown
    assert f'action="/trials/{craft}/put-back"' in shown
    assert client.get(f"/compare?trial={satin}&trial={craft}").status_code == 404
    assert client.post(f"/trials/{craft}/put-back").status_code == 303
    assert craft in client.get("/stocks").text


def test_answers_by_eye_are_shown_apart(client: TestClient, bench: Bench) -> None:
    trial = judged(bench, SATIN.name)
    before = bench.verdicts.standing(trial).id
    given = {
        "creep": "much",
        "black_beside_good": "much-less",
        "colour_beside_good": "much-less",
        "hues_off": "0",
    }
    assert client.post(f"/trials/{trial}/eye", data=given).status_code == 303
    assert bench.verdicts.standing(trial).id == before
    page = client.get(f"/trials/{trial}").text
    assert f"By eye, judged apart ({trial}-r2)" in page
    # Another scan, not judged yet, stands before the answers all the same.
    add_reading(bench, bench.trials.get(trial), 7.0)
    assert "It was read, and has no verdict yet." in client.get(f"/trials/{trial}").text


def test_more_than_was_ordered_is_asked_about(client: TestClient, bench: Bench) -> None:
    run = bench.runs.list()[0].id
    answer = client.post(f"/runs/{run}/count", data={"batch": "1", "good": "405"})
    assert answer.status_code == 422
    assert "Batch 1 would have 405 good sheets, and 40 are ordered" in answer.text
    assert 'value="405"' in answer.text
    assert bench.runs.tallies(run) == ()
    assert (
        client.post(f"/runs/{run}/count", data={"batch": "1", "good": "405", "beyond": "yes"}).status_code
        == 303
    )
    assert client.post(f"/runs/{run}/counts/1/withdraw", data={"why": "slip"}).status_code == 303
    page = client.get(f"/runs/{run}").text
    assert "0 of 40 good, 40 left" in page
    assert "slip" in page
    # A window that saw the count before it was withdrawn is not run over by it.
    counted = {"batch": "1", "good": "4", "seen": "1"}
    assert client.post(f"/runs/{run}/count", data=counted).status_code == 303
    assert client.post(f"/runs/{run}/counts/1/put-back").status_code == 303
    assert sum(each.sheets for each in bench.runs.tallies(run)) == 409
    assert client.post(f"/runs/{run}/counts/9/withdraw").status_code == 404


def test_one_of_two_readings_is_put_back_at_once(client: TestClient, bench: Bench) -> None:
    trial = judged(bench, SATIN.name)
    add_reading(bench, bench.trials.get(trial), 7.0)
    answer = client.post(f"/readings/{trial}-r2/withdraw")
    page = client.get(answer.headers["location"]).text
    said = page.index("A reading was withdrawn.")
    assert f'action="/readings/{trial}-r2/put-back"' in page[said : page.index('class="verdict"')]
    # An address that tells of a reading that stands offers nothing.
    assert "A reading was withdrawn." not in client.get(f"/trials/{trial}?withdrawn={trial}-r1").text


def test_what_was_just_counted_is_taken_back_with_one_button(client: TestClient, bench: Bench) -> None:
    run = bench.runs.list()[0].id
    client.post(f"/runs/{run}/count", data={"batch": "1", "good": "3"})
    counted = client.post(f"/runs/{run}/count", data={"batch": "1", "good": "5", "spoiled": "2"})
    there = counted.headers["location"]
    assert "?counted=2-3#" in there
    page = client.get(there).text
    assert 'name="counted" value="2-3"' in page
    client.post(f"/runs/{run}/count", data={"batch": "1", "good": "1"})  # from another window
    assert client.post(f"/runs/{run}/undo", data={"counted": "2-3"}).status_code == 303
    assert [(each.kind, each.sheets) for each in bench.runs.tallies(run)] == [("good", 3), ("good", 1)]
    assert 'name="counted"' not in client.get(there).text
    for other in ("", "-", "x-y", "9-9", "3-2"):
        assert client.post(f"/runs/{run}/undo", data={"counted": other}).status_code == 303
    assert len(bench.runs.tallies(run)) == 2


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.parametrize("scripts", [True, False])
def test_a_person_withdraws_and_puts_back(chromium: Any, tmp_path: Path, scripts: bool) -> None:
    bench = furnish(tmp_path / "bench")
    trial, run = judged(bench, SATIN.name), bench.runs.list()[0].id
    context = chromium.new_context(
        locale="en-GB", viewport={"width": 390, "height": 844}, java_script_enabled=scripts
    )
    page = context.new_page()
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        page.goto(f"{address}/trials/{trial}")
        page.locator(".folds summary", has_text="History").click()
        page.locator(f'details.asks:has(form[action="/readings/{trial}-r1/withdraw"]) > summary').click()
        page.get_by_label("The reason, if you like").locator("visible=true").fill("smudged")
        if scripts:
            assert page.evaluate(SPILL) <= 0
            assert Axe().run(page).response["violations"] == []
        page.get_by_role("button", name=f"Yes, withdraw it {trial}-r1").click()
        page.get_by_text("Every reading of this trial was withdrawn.").wait_for()
        assert page.get_by_text("smudged").count() == 1
        if scripts:
            assert page.evaluate(SPILL) <= 0
            assert Axe().run(page).response["violations"] == []
        assert bench.readings.find_standing(trial) is None
        page.get_by_role("button", name=f"Put back {trial}-r1").click()
        page.get_by_text("Likely causes").wait_for()
        assert bench.verdicts.standing(trial).reading == f"{trial}-r1"

        page.goto(f"{address}/runs/{run}")
        page.get_by_label("Good").fill("405")
        page.keyboard.press("Enter")  # asks, and does not count
        page.get_by_text("Batch 1 would have 405 good sheets, and 40 are ordered").wait_for()
        page.get_by_label("Good").focus()
        page.keyboard.press("Enter")  # asks again
        page.get_by_role("button", name="Count it all the same").click()
        page.get_by_text("405 of 40 good").wait_for()
        page.get_by_text("Everything that was counted").click()
        page.locator('details.asks:has(form[action$="/counts/1/withdraw"]) > summary').click()
        page.get_by_role("button", name="Yes, withdraw it count 1").click()
        page.get_by_text("0 of 40 good, 40 left").wait_for()
        if scripts:
            assert page.evaluate(SPILL) <= 0
            assert Axe().run(page).response["violations"] == []
        page.get_by_role("button", name="Put back count 1").click()
        page.get_by_text("405 of 40 good").wait_for()
    context.close()
