"""Who may call, what a page may do, what a form must prove."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from fastapi.routing import APIRoute

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.routes import ROUTERS
from tackside.web.safety.hosts import is_known_host, is_own_origin
from tackside.web.workbench import Options
from tests.web.workshop import ORIGIN, TestClient, client_of, token_in

FEED = {"name": "rear", "min_size_mm": [1, 1], "max_size_mm": [2, 2]}
# What the API takes, sound but for the token.
API_BODIES = {
    "/stocks": {"name": "x", "open_size_mm": [1, 1]},
    "/printers": {"name": "x", "feeds": [FEED]},
    "/settings": {},
}
STOCK = {"name": "Eider Pearl 260", "width": "210", "height": "297", "units": "mm"}


@pytest.mark.parametrize(
    "host", ["localhost", "localhost:8372", "127.0.0.1:1", "[::1]:8372", "LOCALHOST", "localhost."]
)
def test_loopback_names_are_answered(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "example.com",
        "127.0.0.1.example.com",
        "192.0.2.7",
        "",
        "localhost@example.com",
        "localhost:x",
        "[::1",
        "a/b",
    ],
)
def test_other_names_are_not(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Harbour" not in answer.text


def test_with_listen_addresses_in_figures_and_named_hosts_are_answered() -> None:
    assert is_known_host("192.0.2.7:80", (), any_address=True)
    assert is_known_host("bench.example:80", ("bench.example",), any_address=True)
    assert not is_known_host("other.example", ("bench.example",), any_address=True)


@pytest.mark.parametrize(
    ("headers", "own"),
    [
        ({"host": "localhost:1", "origin": "http://localhost:1"}, True),
        ({"host": "localhost:1"}, True),
        ({"host": "localhost:1", "origin": "http://localhost:2"}, False),
        ({"host": "localhost:1", "origin": "null"}, False),
        ({"host": "localhost:1", "origin": "http://example.com"}, False),
        ({"host": "localhost:1", "sec-fetch-site": "cross-site"}, False),
        ({"host": "localhost:1", "sec-fetch-site": "same-site"}, False),
    ],
)
def test_a_change_is_taken_only_from_a_page_of_our_own(headers: dict[str, str], own: bool) -> None:
    assert is_own_origin("POST", headers) is own


def test_a_page_of_another_site_is_refused_before_anything_is_done(client: TestClient, bench: Bench) -> None:
    answer = client.post("/describe/stock", data=STOCK, headers={"origin": "https://example.com"})
    assert answer.status_code == 403
    assert len(bench.stocks.list()) == 2


def test_a_form_without_its_token_changes_nothing(bench: Bench) -> None:
    client = client_of(bench)
    del client.headers["x-csrf-token"]
    for token in ("", "0" * 64, "é"):
        assert client.post("/describe/stock", data={**STOCK, "csrf": token}).status_code == 403
    assert len(bench.stocks.list()) == 2
    page = client.get("/describe/stock").text
    assert client.post("/describe/stock", data={**STOCK, "csrf": token_in(page)}).status_code == 303
    assert len(bench.stocks.list()) == 3


def test_the_token_of_one_browser_is_none_for_another(bench: Bench) -> None:
    app = create_app(bench.folder, Options(keep_jobs=False))
    one, other = (TestClient(app, base_url=ORIGIN) for _ in range(2))
    stolen = token_in(one.get("/describe/stock").text)
    other.get("/")
    assert other.post("/describe/stock", data={**STOCK, "csrf": stolen}).status_code == 403


def test_every_route_that_changes_something_asks_for_the_token(bench: Bench) -> None:
    client = client_of(bench)
    del client.headers["x-csrf-token"]
    checked = 0
    for route in (each for router in ROUTERS for each in router.routes):
        if not isinstance(route, APIRoute):
            continue
        for method in route.methods - {"GET", "HEAD"}:
            path = re.sub(r"\{[^}]+\}", "x", route.path)
            body = next((given for name, given in API_BODIES.items() if path.endswith(name)), {})
            sent = {"json": body} if path.startswith("/api") else {"data": {}}
            answer = client.request(method, path, **sent)  # type: ignore[arg-type]
            assert answer.status_code == 403, (method, path, answer.status_code)
            checked += 1
    assert checked >= 15


def test_every_answer_carries_a_strict_policy(client: TestClient) -> None:
    for path in ("/", "/stocks", "/api/trials", "/nowhere", "/trials/NOWHERE"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"


def test_pages_hold_no_inline_script_or_style(client: TestClient) -> None:
    for path in ("/", "/stocks", "/trials", "/describe/stock", "/describe/printer", "/preferences", "/jobs"):
        page = client.get(path).text
        assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", page)
        assert not re.search(r'(src|href|action)="(https?:)?//', page)


def test_a_shipped_file_is_never_one_from_elsewhere(client: TestClient) -> None:
    for path in (
        "/assets/x/../app.py",
        "/assets/x/%2e%2e/app.py",
        "/assets/x/..%2fapp.py",
        "/assets/x//etc/passwd",
    ):
        assert client.get(path).status_code == 404
    found = client.get("/assets/x/css/bench.css")
    assert found.status_code == 200
    assert "immutable" in found.headers["cache-control"]


def body() -> Iterator[bytes]:
    """Two and a half megabytes that come in pieces."""
    for _ in range(40):
        yield b" " * 65536


def test_what_the_head_of_a_request_shows_to_be_wrong_costs_no_reading_of_its_body(bench: Bench) -> None:
    app = create_app(bench.folder, Options(keep_jobs=False))
    client = TestClient(app, base_url=ORIGIN)

    def status(path: str, **headers: str) -> int:
        return client.put(path, content=body(), headers=headers).status_code

    token = client.get("/api/session").json()["csrf"]
    large = {"content-length": str(300 * 1024 * 1024)}
    assert status("/api/stocks", **large) == 403
    assert client.put("/api/stocks", content=body(), headers=large).headers["connection"] == "close"
    assert status("/api/stocks", **large, host="example.com") == 421
    assert status("/api/stocks", **large, origin="https://example.com") == 403
    assert status("/api/stocks", **large, **{"x-csrf-token": token}) == 413
    assert client.post("/describe/stock", content=body(), headers=large).status_code == 413


def test_a_body_that_does_not_say_how_long_it_is_is_cut_off(client: TestClient) -> None:
    assert client.put("/api/stocks", content=body()).status_code == 400
