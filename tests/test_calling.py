"""Calls to machines on the network: one deadline over all of an exchange, and bounded bytes however they are packed."""

from __future__ import annotations

import contextlib
import gzip
import socket
import threading
import zlib
from collections.abc import Callable, Iterator

import httpx
import pytest

from tackside.network.calling import CHUNK, Endless, NotReached, Silent, body_of, calling, small_body

HEAD = b"HTTP/1.1 200 OK\r\n"
BOMB = gzip.compress(bytes(200_000_000), 1)


@contextlib.contextmanager
def machine(speak: Callable[[socket.socket, threading.Event], None]) -> Iterator[str]:
    """Something on loopback that takes one call and answers it as ``speak`` does; its address."""
    over = threading.Event()
    with socket.create_server(("127.0.0.1", 0)) as door:

        def serve() -> None:
            with contextlib.suppress(OSError):
                taken, _ = door.accept()
                with taken:
                    taken.recv(CHUNK)
                    speak(taken, over)

        thread = threading.Thread(target=serve, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{door.getsockname()[1]}/"
        finally:
            over.set()
            thread.join(10)


def drip(start: bytes, drop: bytes) -> Callable[[socket.socket, threading.Event], None]:
    def speak(taken: socket.socket, over: threading.Event) -> None:
        taken.sendall(start)
        while not over.wait(0.02):
            taken.sendall(drop)

    return speak


@pytest.mark.parametrize(
    ("start", "drop"),
    [
        (b"HTTP/1.1 200 OK\r\nX: ", b"y"),
        (b"", b"HTTP/1.1 100 Continue\r\n\r\n"),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\n", b"1\r\nx\r\n"),
        (HEAD + b"Content-Length: 100000\r\n\r\n", b"x"),
    ],
    ids=["a head", "heads", "chunks", "a body"],
)
def test_who_drips_is_not_waited_for_longer_than_the_exchange_may_take(start: bytes, drop: bytes) -> None:
    with (
        machine(drip(start, drop)) as address,
        pytest.raises(Silent),
        calling("GET", address, seconds=0.4) as answer,
    ):
        small_body(answer, most_bytes=100_000)


def test_a_long_answer_is_bounded_by_who_reads_it() -> None:
    pieces = 0
    with (
        machine(drip(HEAD + b"Content-Length: 40\r\n\r\n", b"x")) as address,
        calling("GET", address, seconds=0.3, is_long=True) as answer,
    ):
        for _ in body_of(answer):
            pieces += 1
    assert pieces > 20


def answered(content: bytes, packed: str) -> httpx.Response:
    head = HEAD + f"Content-Length: {len(content)}\r\nContent-Encoding: {packed}\r\n\r\n".encode()

    def speak(taken: socket.socket, over: threading.Event) -> None:
        taken.sendall(head + content)

    with machine(speak) as address, calling("GET", address, seconds=20) as answer:
        small_body(answer, most_bytes=1_000_000)
        return answer


def test_what_unpacks_without_end_is_cut_off_while_it_is_small() -> None:
    unpacked = 0
    answer = httpx.Response(200, headers={"Content-Encoding": "gzip"}, stream=Pieces(BOMB))
    for piece in body_of(answer):
        unpacked += len(piece)
        assert len(piece) <= CHUNK
        if unpacked > 1_000_000:
            break
    assert answer.stream.given < len(BOMB)  # type: ignore[attr-defined]


class Pieces(httpx.SyncByteStream):
    """What comes, a few bytes at a time; ``given`` so far."""

    def __init__(self, content: bytes) -> None:
        self.content, self.given = content, 0

    def __iter__(self) -> Iterator[bytes]:
        while self.given < len(self.content):
            piece = self.content[self.given : self.given + 1000]
            self.given += len(piece)
            yield piece


@pytest.mark.parametrize(
    ("content", "packed", "fault"),
    [
        (BOMB, "gzip", Endless),
        (gzip.compress(BOMB), "gzip, gzip", NotReached),
        (b"x", "br", NotReached),
        (b"no gzip", "gzip", NotReached),
        (gzip.compress(b"whole")[:-9], "gzip", NotReached),
    ],
    ids=["large", "twice", "otherwise", "damaged", "cut"],
)
def test_packed_answers_that_cannot_be_trusted_are_refused(
    content: bytes, packed: str, fault: type[Exception]
) -> None:
    with pytest.raises(fault):
        answered(content, packed)


@pytest.mark.parametrize(
    ("packed", "content"),
    [
        ("gzip", gzip.compress(b"plain")),
        ("deflate", zlib.compress(b"plain")),
        ("identity", b"plain"),
        ("", b"plain"),
    ],
)
def test_an_answer_that_was_packed_once_is_read(packed: str, content: bytes) -> None:
    answer = httpx.Response(200, headers={"Content-Encoding": packed}, stream=Pieces(content))
    assert small_body(answer, most_bytes=100) == b"plain"


def test_a_body_that_the_machine_takes_slowly_is_no_silence() -> None:
    def speak(taken: socket.socket, over: threading.Event) -> None:
        while b"0\r\n\r\n" not in taken.recv(CHUNK):
            pass
        taken.sendall(HEAD + b"Content-Length: 2\r\n\r\nok")

    def pieces() -> Iterator[bytes]:
        for _ in range(10):
            threading.Event().wait(0.1)
            yield b"piece"

    with machine(speak) as address, calling("POST", address, seconds=0.8, body=pieces()) as answer:
        assert small_body(answer, most_bytes=10) == b"ok"
