"""The server behind the doors: connections that fall silent, too many of them, and addresses that are made up."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import Receive, Scope, Send

from tackside.web.safety.server import Limits, affordable, server_config

SOON = Limits(head=0.2, still=0.2, look=0.05)
REQUEST = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"


async def app(scope: Scope, receive: Receive, send: Send) -> None:
    """Who calls, and how much came; for /much, an answer that no buffer holds."""
    request = Request(scope, receive)
    size = len(await request.body())
    client = request.client.host if request.client else ""
    said: Response = PlainTextResponse(f"{client} {request.url.scheme} {size}.")
    if request.url.path == "/much":
        said = Response(b" " * 64_000_000)
    await said(scope, receive, send)


def server_of(limits: Limits) -> uvicorn.Server:
    return uvicorn.Server(server_config(app, limits, lifespan="off", timeout_graceful_shutdown=1))


@contextlib.contextmanager
def running(server: uvicorn.Server) -> Iterator[tuple[str, int]]:
    door = socket.create_server(("127.0.0.1", 0))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    try:
        yield door.getsockname()[:2]
    finally:
        server.should_exit = True
        thread.join(timeout=15)
        door.close()


def served(limits: Limits) -> contextlib.AbstractContextManager[tuple[str, int]]:
    return running(server_of(limits))


def called(address: tuple[str, int], sent: bytes) -> socket.socket:
    made = socket.create_connection(address, timeout=20)
    made.sendall(sent)
    return made


def answer(made: socket.socket) -> str:
    """What came, to the end of the connection or of a small answer."""
    found = b""
    with contextlib.suppress(ConnectionResetError):
        while more := made.recv(65536):
            found += more
            if found.endswith(b"."):
                break
    return found.decode("latin-1")


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"GET / HTTP/1.1\r\nHost:",
        b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5000\r\n\r\nabc",
        REQUEST + b"GET / HTTP/1.1\r\n",
        b"POST / HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n3\r\nabc\r\n",
    ],
    ids=["nothing", "half a head", "half a body", "half a second head", "an endless body"],
)
def test_who_falls_silent_is_let_go(sent: bytes) -> None:
    with served(SOON) as address, called(address, sent) as made:
        answer(made)
        assert answer(made) == ""  # ended by the server: a read that waits would time out instead


def test_a_head_that_drips_is_not_waited_for() -> None:
    with (
        served(SOON) as address,
        called(address, b"GET / HTTP/1.1\r\n") as made,
        contextlib.suppress(OSError),
    ):
        for _ in range(600):
            made.sendall(b"X: y\r\n")
            time.sleep(0.03)
        pytest.fail("it is waited for")


def test_who_stops_reading_is_let_go() -> None:
    server = server_of(SOON)
    with running(server) as address, called(address, b"GET /much HTTP/1.1\r\nHost: x\r\n\r\n") as made:
        made.recv(1)
        for _ in range(600):
            if not server.server_state.connections:
                break
            time.sleep(0.03)
        assert not server.server_state.connections


def test_a_connection_in_use_stays() -> None:
    with served(SOON) as address, called(address, REQUEST) as made:
        for _ in range(12):
            assert "200 OK" in answer(made)
            time.sleep(0.05)
            made.sendall(REQUEST)
        assert "200 OK" in answer(made)


def test_those_who_only_hold_the_door_make_room_for_who_comes_in() -> None:
    with served(Limits(connections=20)) as address, contextlib.ExitStack() as held:
        for _ in range(300):
            with contextlib.suppress(OSError):
                held.enter_context(called(address, b"GET / HT"))
        with called(address, REQUEST) as made:
            assert "200 OK" in answer(made)


def test_no_more_are_open_than_there_may_be() -> None:
    busy = b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5000\r\n\r\nabc"
    with served(Limits(connections=3)) as address, contextlib.ExitStack() as held:
        for _ in range(3):
            held.enter_context(called(address, busy))
        time.sleep(0.2)
        with called(address, b"") as one_more:
            assert answer(one_more) == ""


FORWARDED = b"GET / HTTP/1.1\r\nHost: x\r\nX-Forwarded-For: 198.51.100.7\r\nX-Forwarded-Proto: https\r\n\r\n"


@pytest.mark.parametrize(
    ("proxies", "said"),
    [
        ((), "127.0.0.1 http 0"),
        (("192.0.2.1",), "127.0.0.1 http 0"),
        (("127.0.0.1",), "198.51.100.7 https 0"),
    ],
)
def test_forwarded_addresses_are_believed_from_whom_it_was_said_of(
    proxies: tuple[str, ...], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORWARDED_ALLOW_IPS", "*")
    with served(Limits(proxies=proxies)) as address, called(address, FORWARDED) as made:
        assert answer(made).endswith(f"{said}.")


def test_the_connections_leave_descriptors_for_all_else(monkeypatch: pytest.MonkeyPatch) -> None:
    resource = pytest.importorskip("resource")
    monkeypatch.setattr(resource, "getrlimit", lambda _: (256, 4096))
    assert affordable() == 128
    monkeypatch.setattr(resource, "getrlimit", lambda _: (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    assert affordable() == 200
