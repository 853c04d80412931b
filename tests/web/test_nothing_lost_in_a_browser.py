"""In a browser: a job's box lets itself be stopped and keeps the keyboard; a program started again loses nothing."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.at_work import until
from tests.web.card_bench import NAME
from tests.web.workshop import furnish, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
QUIET = Options(keep_jobs=False)
MARKED = "document.querySelector('.job button')?.dataset.same === 'yes'"
WORDS = "#t0_text"
SETTLED = "document.querySelector('form[data-card]').desk.isSettled"


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return furnish(tmp_path / "bench")


@pytest.fixture
def page(chromium: Any) -> Iterator[Any]:
    context = chromium.new_context(locale="en-GB", viewport={"width": 1280, "height": 900})
    made = context.new_page()
    made.set_default_timeout(60_000)
    made.on("dialog", lambda dialog: dialog.accept())
    yield made
    context.close()


def test_a_jobs_box_stays_where_it_is_while_the_job_is_at_work(page: Any, bench: Bench) -> None:
    job = bench.jobs.add("sheet", {"trial": "x"})
    assert bench.jobs.claim("a test") is not None
    with serving(create_app(bench.folder, QUIET)) as address:
        page.goto(f"{address}/jobs/{job.id}")
        page.evaluate("document.querySelector('.job button').dataset.same = 'yes'")
        page.locator(".job button").focus()
        for share in (0.2, 0.5, 0.7):
            bench.jobs.tell(job.id, share, Message("progress.preparing-scan"))
            until(page, f"Math.abs(document.querySelector('progress').value - {share}) < 0.01")
            assert page.evaluate(MARKED)
            assert page.evaluate("document.activeElement.dataset.same") == "yes"
        assert "Preparing" in page.locator(".job [role=status]").inner_text()
        # A click that takes longer than the page takes to ask how far it is.
        box = page.locator(".job button").bounding_box()
        page.mouse.move(box["x"] + 10, box["y"] + 10)
        page.mouse.down()
        page.wait_for_timeout(1800)
        page.mouse.up()
        until(page, "document.querySelector('.job [role=status]').textContent.includes('Stopping')")
        assert bench.jobs.get(job.id).state == "stopping"
        assert page.evaluate(MARKED)
        bench.jobs.stopped(job.id)
        page.get_by_text("stopped; nothing is half-written").wait_for()
        assert page.evaluate("document.activeElement.id") == f"job-{job.id}"


def test_a_job_that_is_done_leads_on_once(page: Any, bench: Bench) -> None:
    """A second leading on may load the page anew, under the hands of whoever has begun to work on it."""
    trial = bench.trials.list()[0].id
    job = bench.jobs.add("sheet", {"trial": trial}, subject=trial)
    assert bench.jobs.claim("a test") is not None
    led: list[str] = []

    def slowly(route: Any) -> None:
        time.sleep(2.0)  # three times as long as a box waits before it asks again
        route.continue_()

    def note(answer: Any) -> None:
        if leads := answer.headers.get("hx-redirect"):
            led.append(leads)

    with serving(create_app(bench.folder, QUIET)) as address:
        page.goto(f"{address}/jobs/{job.id}")
        page.route(f"**/trials/{trial}/print", slowly)
        page.on("response", note)
        bench.jobs.finish(job.id, {"trial": trial})
        page.wait_for_url("**/print")
    assert led == [f"/trials/{trial}/print"]


def test_an_open_card_is_saved_after_the_program_was_started_again(page: Any, bench: Bench) -> None:
    with serving(create_app(bench.folder, QUIET)) as address:
        change_words(page, address, "With love\nfrom the pier")
    with serving(create_app(bench.folder, QUIET), urlsplit(address).port or 0):
        page.click("[data-keep]")
        page.get_by_text("Kept as revision 3.").wait_for()
    assert "from the pier" in bench.cards.get(NAME).toml


def test_a_card_that_was_not_saved_is_offered_again(page: Any, bench: Bench) -> None:
    with serving(create_app(bench.folder, QUIET)) as address:
        change_words(page, address, "With love\nfrom the quay")
        page.goto(f"{address}/cards")
    with serving(create_app(bench.folder, QUIET), urlsplit(address).port or 0):
        page.goto(f"{address}/cards/{NAME}")
        page.get_by_role("button", name="Go on with it").click()
        page.locator("form[data-unkept]").wait_for()
        assert page.input_value(WORDS) == "With love\nfrom the quay"
        page.click("[data-keep]")
        page.get_by_text("Kept as revision 3.").wait_for()
        page.goto(f"{address}/cards/{NAME}")
        assert not page.get_by_role("button", name="Go on with it").is_visible()
    assert "from the quay" in bench.cards.get(NAME).toml


def test_settings_are_noted_beside_the_scan_without_leaving_the_page(page: Any, bench: Bench) -> None:
    trial = bench.trials.list()[-1].id
    with serving(create_app(bench.folder, QUIET)) as address:
        page.goto(f"{address}/trials/{trial}/read")
        page.fill("#device", "Flatbed at 300 ppi")
        page.fill("#drying_hours", "a day")
        page.click("text=Note it now")
        page.locator("#noted").get_by_text("a day").wait_for()
        assert page.input_value("#device") == "Flatbed at 300 ppi"
        page.fill("#drying_hours", "24")
        page.click("text=Note it now")
        page.locator("#noted").get_by_text("Noted.").wait_for()
        assert bench.trials.get(trial).settings.drying_hours == 24
        page.fill("#quality", "Best")  # the page knows the revision that it noted itself
        page.click("text=Note it now")
        until(page, "document.querySelector('#after').value === '3'")
        page.set_input_files("#files", {"name": "s.tif", "mimeType": "image/tiff", "buffer": b"II*\0"})
        page.fill("#drying_hours", "two")
        page.click("text=Read and judge")
        page.locator("#job").get_by_text("two").wait_for()
        assert page.evaluate("document.querySelector('#files').files.length") == 1
        page.fill("#drying_hours", "2")
        page.click("text=Read and judge")
        page.locator("#job .job").wait_for()
    assert bench.trials.get(trial).settings.drying_hours == 2
    assert bench.trials.get(trial).settings.quality == "Best"
    assert len(bench.jobs.list(kind="read")) == 1


def change_words(page: Any, address: str, words: str) -> None:
    page.goto(f"{address}/cards/{NAME}")
    until(page, "document.querySelector('form[data-card]')?.desk !== undefined")
    with page.expect_response("**/check"):
        page.fill(WORDS, words)
    until(page, SETTLED)
