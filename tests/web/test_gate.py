"""Who is let in: by the key in the address, by the password, and by what session; and who has to wait."""

from __future__ import annotations

import re
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.location import PAGE_SESSIONS
from tackside.bench.store import Bench
from tackside.cli.opening import clear, open_in_browser, with_key
from tackside.web.app import create_app
from tackside.web.safety.gate import BUSY_SECONDS, OWN_SESSION_SECONDS, SESSION_SECONDS, Gate
from tackside.web.safety.guesses import MOST_FROM_ONE, MOST_FROM_STRANGERS, WINDOW_SECONDS, one_of
from tackside.web.safety.password import AT_ONCE, LANES, LENGTH, MEMORY_KIB, PASSES, WAITING, argon2id
from tackside.web.safety.sessions import Sessions
from tackside.web.workbench import Options
from tests.web.clock import Clock
from tests.web.shots import shoot
from tests.web.workshop import ORIGIN, TestClient, serving, token_in, with_known_routes

PASSWORD, KEY = "a few plain words", "k" * 43
SECRET = b"s" * 32


def quick(password: bytes, salt: bytes) -> bytes:
    """In place of the slow hash, where something else is tried."""
    return salt + password


def gate_of(clock: Clock, **more: object) -> Gate:
    return Gate(PASSWORD, secret=SECRET, clock=clock, slow=quick, **more)  # type: ignore[arg-type]


def browser(bench: Bench, **options: object) -> TestClient:
    app = with_known_routes(create_app(bench.folder, Options(keep_jobs=False, **options)))  # type: ignore[arg-type]
    return TestClient(app, base_url=ORIGIN, follow_redirects=False)


def test_a_password_shuts_every_page_and_lets_in_whoever_has_it(bench: Bench) -> None:
    app = with_known_routes(create_app(bench.folder, Options(keep_jobs=False, password=PASSWORD)))
    client = TestClient(app, base_url=ORIGIN, follow_redirects=False)
    for path in ("/", "/stocks", "/trials/X/thumbnail"):
        assert client.get(path).headers["location"].startswith("/enter?back=")
    assert client.get("/api/stocks").status_code == 401
    assert client.get("/assets/x/css/bench.css").status_code == 200
    form = {"csrf": token_in(client.get("/enter").text), "back": "/stocks"}
    assert client.post("/enter", data={**form, "password": "guess"}).status_code == 403
    entered = client.post("/enter", data={**form, "password": PASSWORD})
    assert entered.headers["location"] == "/stocks"
    assert "HttpOnly" in entered.headers["set-cookie"]
    assert "SameSite=strict" in entered.headers["set-cookie"]
    assert client.get("/stocks").status_code == 200
    client.post("/leave", data=form)
    assert client.get("/stocks").status_code == 303


def test_nobody_is_sent_to_another_site_after_the_password(bench: Bench) -> None:
    app = with_known_routes(create_app(bench.folder, Options(keep_jobs=False, password=PASSWORD)))
    for back in ("https://example.com", "//example.com", "/\\example.com", "javascript:alert(1)"):
        client = TestClient(app, base_url=ORIGIN, follow_redirects=False)
        form = {"csrf": token_in(client.get("/enter").text), "back": back, "password": PASSWORD}
        assert client.post("/enter", data=form).headers["location"] == "/"


def test_guesses_have_to_wait_and_the_right_one_too(clock: Clock) -> None:
    gate = gate_of(clock)
    for _ in range(MOST_FROM_ONE):
        assert gate.enter("guess", "192.0.2.1").wait_seconds == 0
    assert gate.enter(PASSWORD, "192.0.2.1").wait_seconds == WINDOW_SECONDS
    assert gate.enter("guess", "192.0.2.2").wait_seconds == 0
    clock.now += WINDOW_SECONDS
    entry = gate.enter(PASSWORD, "192.0.2.1")
    assert gate.lets_in(entry.session)
    clock.now += SESSION_SECONDS
    assert not gate.lets_in(entry.session)


def test_guesses_that_come_at_once_are_counted_before_any_is_looked_at(clock: Clock) -> None:
    gate = gate_of(clock)
    with ThreadPoolExecutor(16) as pool:
        entries = list(pool.map(lambda _: gate.enter("guess", "192.0.2.1"), range(64)))
    assert sum(entry.wait_seconds == 0 for entry in entries) <= MOST_FROM_ONE


def test_strangers_from_everywhere_make_each_other_wait_and_not_a_browser_that_was_in_before(
    clock: Clock,
) -> None:
    gate = gate_of(clock)
    known = gate.enter(PASSWORD, "192.0.2.1").known
    for number in range(MOST_FROM_STRANGERS + 20):
        gate.enter("guess", f"198.51.100.{number}")
    assert gate.enter(PASSWORD, "203.0.113.1").wait_seconds > 0
    assert gate.enter(PASSWORD, "203.0.113.1", "made.up").wait_seconds > 0
    assert gate.enter(PASSWORD, "203.0.113.1", known).session


def test_a_browser_that_was_in_before_has_no_more_guesses_than_others(clock: Clock) -> None:
    gate = gate_of(clock)
    known = gate.enter(PASSWORD, "192.0.2.1").known
    waits = [gate.enter("guess", f"192.0.2.{n}", known).wait_seconds for n in range(MOST_FROM_ONE + 1)]
    assert waits[:-1] == [0] * MOST_FROM_ONE
    assert waits[-1] > 0


def test_what_a_browser_is_known_by_opens_nothing_and_ends_with_the_password(clock: Clock) -> None:
    gate = gate_of(clock)
    known = gate.known_name()
    assert not gate.lets_in(known)
    other = Gate("another password", secret=SECRET, clock=clock, slow=quick)
    for number in range(MOST_FROM_STRANGERS):
        other.enter("guess", f"198.51.100.{number}")
    assert other.enter("another password", "192.0.2.1", known).wait_seconds > 0


@pytest.mark.parametrize(
    ("address", "counted_as"),
    [
        ("192.0.2.1", "192.0.2.1"),
        ("2001:db8::1", "2001:db8::/64"),
        ("2001:db8::ffff:ffff:ffff:ffff", "2001:db8::/64"),
        ("::ffff:192.0.2.1", "192.0.2.1"),
        ("fe80::1%eth0", "fe80::/64"),
        ("", ""),
    ],
)
def test_whoever_has_a_whole_network_of_addresses_counts_as_one(address: str, counted_as: str) -> None:
    assert one_of(address) == counted_as


def test_few_passwords_are_hashed_at_once_few_wait_and_the_rest_is_told_to_come_back(clock: Clock) -> None:
    begun, go_on = threading.Semaphore(0), threading.Event()
    now, most = [0], [0]

    def slow(password: bytes, salt: bytes) -> bytes:
        if password == b"guess":
            now[0] += 1
            most[0] = max(most[0], now[0])
            begun.release()
            go_on.wait(20)
            now[0] -= 1
        return salt + password

    gate = Gate(PASSWORD, secret=SECRET, clock=clock, slow=slow)
    known = gate.known_name()
    with ThreadPoolExecutor(45) as pool:
        tried = [pool.submit(gate.enter, "guess", f"192.0.2.{n}") for n in range(45)]
        assert begun.acquire(timeout=20)
        while sum(each.done() for each in tried) < 45 - AT_ONCE - WAITING:
            threading.Event().wait(0.01)
        assert gate.enter(PASSWORD, "203.0.113.1", known).session  # does not queue behind them
        go_on.set()
        waits = [each.result().wait_seconds for each in tried]
    assert most[0] == AT_ONCE
    assert waits.count(0) == AT_ONCE + WAITING
    assert set(waits) == {0, BUSY_SECONDS}
    # Who was only told to come back has lost none of its guesses.
    assert gate.enter(PASSWORD, f"192.0.2.{waits.index(BUSY_SECONDS)}").session


def test_the_hash_is_argon2id_as_the_standard_recommends_where_memory_is_scarce() -> None:
    # RFC 9106 section 4, the second recommended option (docs/sources.md, S200).
    assert (PASSES, LANES, MEMORY_KIB, LENGTH) == (3, 4, 64 * 1024, 32)
    assert len(argon2id(b"password", b"0" * 16)) == LENGTH


def test_a_key_in_the_address_becomes_a_session_and_leaves_the_address(bench: Bench) -> None:
    client = browser(bench, key=KEY)
    for path in ("/", "/stocks", "/trials/X/thumbnail", "/open", "/open?key=", f"/open?key={KEY[1:]}"):
        answer = client.get(path)
        assert answer.status_code in (303, 403)
        assert "Harbour" not in answer.text
    refused = client.get("/api/stocks")
    assert (refused.status_code, refused.json()["code"]) == (401, "form.no-key")
    opened = client.get(f"/open?key={KEY}&back=/stocks")
    cookie = next(each for each in opened.headers.get_list("set-cookie") if "session" in each)
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert re.search(r'http-equiv="refresh" content="0; url=/stocks"', opened.text)
    assert KEY not in opened.text
    assert "Harbour" in client.get("/stocks").text
    assert client.get("/api/stocks").status_code == 200


def test_a_key_leads_to_no_other_site(bench: Bench) -> None:
    opened = browser(bench, key=KEY).get("/open", params={"key": KEY, "back": "//example.com/"})
    assert 'url=/"' in opened.text


def test_where_there_is_a_key_no_password_is_asked_for_and_none_lets_in(bench: Bench) -> None:
    client = browser(bench, key=KEY)
    page = client.get("/enter").text
    assert 'type="password"' not in page
    held = client.get("/api/session")
    assert held.status_code == 401
    cookies = [each for each in client.cookies.jar if each.name == "tackside_seat"]
    assert cookies
    assert client.post("/enter", data={"csrf": "0" * 64, "password": ""}).status_code == 403


def test_with_a_password_the_key_of_the_terminal_never_waits(bench: Bench) -> None:
    client = browser(bench, password=PASSWORD, key=KEY)
    form = {"csrf": token_in(client.get("/enter").text), "password": "guess"}
    for _ in range(MOST_FROM_ONE + 1):
        client.post("/enter", data=form)
    assert client.post("/enter", data={**form, "password": PASSWORD}).status_code == 429
    client.get(f"/open?key={KEY}")
    assert client.get("/stocks").status_code == 200


def test_a_browser_that_was_in_before_is_told_by_its_cookie(bench: Bench) -> None:
    owner, other = browser(bench, password=PASSWORD), None
    form = {"csrf": token_in(owner.get("/enter").text), "password": PASSWORD}
    assert owner.post("/enter", data=form).status_code == 303
    owner.post("/leave", data=form)
    other = TestClient(owner.app, base_url=ORIGIN, follow_redirects=False)  # of the same address
    guess = {"csrf": token_in(other.get("/enter").text), "password": "guess"}
    for _ in range(MOST_FROM_ONE):
        other.post("/enter", data=guess)
    assert other.post("/enter", data={**guess, "password": PASSWORD}).status_code == 429
    assert owner.post("/enter", data=form).status_code == 303


@pytest.mark.parametrize(("keeps", "status"), [(True, 200), (False, 303)])
def test_sessions_outlive_the_program_by_choice(bench: Bench, keeps: bool, status: int) -> None:
    before = browser(bench, key=KEY, keeps_sessions=keeps)
    before.get(f"/open?key={KEY}")
    assert before.get("/stocks").status_code == 200
    again = browser(bench, key="j" * 43, keeps_sessions=keeps)
    again.cookies = before.cookies
    assert again.get("/stocks").status_code == status
    assert (bench.folder / PAGE_SESSIONS).exists() is keeps


def test_a_session_that_was_kept_ends_by_time_by_leaving_and_with_another_password(
    tmp_path: Path, clock: Clock
) -> None:
    file = tmp_path / PAGE_SESSIONS
    one = Sessions(b"seal", file, clock)
    name, other = one.begin(60), one.begin(OWN_SESSION_SECONDS)
    assert file.stat().st_mode & 0o077 == 0
    assert name not in file.read_text()
    assert Sessions(b"seal", file, clock).holds(name)
    assert not Sessions(b"another seal", file, clock).holds(name)
    clock.now += 60
    assert not one.holds(name)
    assert one.holds(other)
    one.end(other)
    assert not Sessions(b"seal", file, clock).holds(other)


@pytest.mark.parametrize("found", [b"", b"[]", b"{", b'{"a": "x"}', b"\xff", b"[" * 100_000])
def test_a_damaged_file_of_sessions_is_as_none(tmp_path: Path, clock: Clock, found: bytes) -> None:
    file = tmp_path / PAGE_SESSIONS
    file.write_bytes(found)
    one = Sessions(b"seal", file, clock)
    name = one.begin(60)
    assert Sessions(b"seal", file, clock).holds(name)


def test_the_sixth_guess_is_told_to_wait(bench: Bench, caplog: pytest.LogCaptureFixture) -> None:
    app = with_known_routes(create_app(bench.folder, Options(keep_jobs=False, password=PASSWORD)))
    client = TestClient(app, base_url=ORIGIN, follow_redirects=False)
    form = {"csrf": token_in(client.get("/enter").text)}
    statuses = [
        client.post("/enter", data={**form, "password": "guess"}).status_code
        for _ in range(MOST_FROM_ONE + 1)
    ]
    assert statuses == [403] * MOST_FROM_ONE + [429]
    assert [each.getMessage() for each in caplog.records][-2:] == [
        "a wrong password: testclient",
        "told to wait before a password is looked at: testclient",
    ]
    assert PASSWORD not in caplog.text
    assert "retry-after" in client.post("/enter", data={**form, "password": PASSWORD}).headers


@pytest.mark.browser
def test_a_browser_that_comes_from_the_opening_page_is_in_and_its_address_holds_no_key(
    bench: Bench, chromium: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    with serving(create_app(bench.folder, Options(keep_jobs=False, key=KEY, keeps_sessions=True))) as address:
        context = chromium.new_context()
        page = context.new_page()
        page.goto(f"{address}/stocks")
        assert page.get_by_role("heading", name="Open the workbench").is_visible()
        shoot(page, "no-key", 1440, "light")
        page.goto(f"{address}/open?key=another")
        shoot(page, "wrong-key", 390, "light")
        clock = open_in_browser(with_key(f"{address}/", KEY), tmp_path)
        page.goto(opened[0])
        page.wait_for_url(f"{address}/")
        page.goto(f"{address}/stocks")
        assert page.get_by_text("Harbour Satin 300").first.is_visible()
        clear(clock)
        context.close()
