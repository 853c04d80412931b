"""A workbench that was started without a terminal: closed from its pages, or left."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.shell.attendance import GRACE_SECONDS, MOST_PAGES, SILENT_SECONDS, Attendance
from tackside.web.workbench import Options
from tests.web.clock import Clock
from tests.web.shots import shoot
from tests.web.workshop import TestClient, client_of, serving


@pytest.fixture
def attendance(clock: Clock) -> Attendance:
    return Attendance(clock)


@pytest.fixture
def attended(bench: Bench, attendance: Attendance) -> TestClient:
    return client_of(bench, attendance=attendance)


def test_it_is_left_some_time_after_its_last_page_was_closed(attendance: Attendance, clock: Clock) -> None:
    attendance.here("one")
    attendance.here("two")
    attendance.gone("one")
    clock.now += GRACE_SECONDS
    assert not attendance.is_left()
    attendance.gone("two")
    assert attendance.is_left()


def test_going_from_page_to_page_is_not_leaving(attendance: Attendance, clock: Clock) -> None:
    attendance.here("one")
    clock.now += 3 * GRACE_SECONDS
    attendance.gone("one")
    attendance.asked()  # the next page is being fetched
    assert not attendance.is_left()
    clock.now += GRACE_SECONDS - 1
    assert not attendance.is_left()
    attendance.here("two")
    clock.now += 2
    assert not attendance.is_left()


def test_a_page_that_sleeps_keeps_it_open_for_hours_and_one_that_crashed_not_for_ever(
    attendance: Attendance, clock: Clock
) -> None:
    attendance.here("asleep")
    clock.now += SILENT_SECONDS - 1
    assert not attendance.is_left()
    clock.now += 1
    assert attendance.is_left()


def test_a_browser_that_takes_its_time_finds_it_open(attendance: Attendance, clock: Clock) -> None:
    clock.now += 10 * GRACE_SECONDS
    assert not attendance.is_left()


def test_names_made_up_without_end_fill_no_memory(attendance: Attendance) -> None:
    for number in range(MOST_PAGES + 50):
        attendance.here(str(number))
    assert len(attendance._pages) == MOST_PAGES


def test_pages_say_that_they_are_here_and_that_they_go(
    attended: TestClient, attendance: Attendance, clock: Clock
) -> None:
    assert "js/attendance.js" in attended.get("/").text
    assert attended.post("/here?name=abc1").status_code == 204
    clock.now += 10 * GRACE_SECONDS
    assert not attendance.is_left()
    assert attended.post("/gone?name=abc1").status_code == 204
    clock.now += GRACE_SECONDS
    assert attendance.is_left()
    assert attended.post("/here?name=" + "x" * 41).status_code == 422


def test_a_page_of_another_site_can_neither_keep_it_open_nor_close_it(
    attended: TestClient, attendance: Attendance
) -> None:
    elsewhere = {"origin": "https://example.org", "sec-fetch-site": "cross-site"}
    for path in ("/here?name=abc1", "/gone?name=abc1", "/close"):
        assert attended.post(path, headers=elsewhere).status_code == 403
    attended.headers.pop("x-csrf-token")
    assert attended.post("/close", data={"csrf": "0" * 64}).status_code == 403
    assert not attendance.end.is_set()


def test_its_button_closes_it_and_says_where_the_records_are(
    attended: TestClient, attendance: Attendance, bench: Bench
) -> None:
    assert 'action="/close"' in attended.get("/").text
    said = attended.post("/close").text
    assert "The workbench is closed" in said
    assert Path(bench.folder).name in said
    assert attendance.end.is_set()


def test_what_is_at_work_is_named_before_it_is_closed(
    attended: TestClient, attendance: Attendance, bench: Bench
) -> None:
    job = bench.jobs.add("sheet", {})
    said = attended.post("/close").text
    assert "Drawing the test sheet" in said
    assert f"/jobs/{job.id}" in said
    assert not attendance.end.is_set()
    attended.post("/close", data={"sure": "yes"})
    assert attendance.end.is_set()


def test_a_workbench_with_a_terminal_is_ended_there(client: TestClient) -> None:
    page = client.get("/").text
    assert 'action="/close"' not in page
    assert "attendance.js" not in page
    for path in ("/here?name=abc1", "/gone?name=abc1", "/close"):
        assert client.post(path).status_code == 404


def eventually(holds: Callable[[], bool]) -> bool:
    deadline = time.monotonic() + 30
    while not holds():
        if time.monotonic() > deadline:
            return False
        time.sleep(0.05)
    return True


@pytest.mark.browser
def test_a_browser_tells_of_its_pages_and_of_their_end(bench: Bench, chromium: Any) -> None:
    attendance = Attendance()
    with serving(create_app(bench.folder, Options(keep_jobs=False, attendance=attendance))) as address:
        first, second = chromium.new_page(), chromium.new_page()
        first.goto(address)
        second.goto(f"{address}/stocks")
        assert eventually(lambda: len(attendance._pages) == 2)
        second.close(run_before_unload=True)
        assert eventually(lambda: len(attendance._pages) == 1)
        first.goto(f"{address}/printers")  # one page goes, the next is here
        assert eventually(lambda: len(attendance._pages) == 1)
        shoot(first, "to-be-closed", 1440, "light")
        job = bench.jobs.add("sheet", {})
        first.get_by_role("button", name="Close the workbench").click()
        first.get_by_role("link", name="Drawing the test sheet").wait_for()
        shoot(first, "at-work", 1440, "light")
        bench.jobs.cancel(job.id)
        first.get_by_role("button", name="Close the workbench").click()
        first.get_by_role("heading", name="The workbench is closed").wait_for()
        assert attendance.end.is_set()
        shoot(first, "closed", 1440, "light")
        first.close()
