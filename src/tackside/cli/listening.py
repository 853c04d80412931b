"""The socket that the workbench listens on, and the server behind it."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
from collections.abc import Iterator
from types import FrameType
from typing import TYPE_CHECKING

from tackside.errors import BadRequest, StorageTrouble

if TYPE_CHECKING:
    import uvicorn
    from starlette.types import ASGIApp

LOOPBACK = "127.0.0.1"
PORT = 8372
TRIED = 20


def listen(address: str, port: int | None) -> socket.socket:
    """A socket that listens. Without a port asked for, the next free one is taken.

    Raises BadRequest for what is no port, StorageTrouble where it is taken."""
    if port is not None and not 0 <= port <= 65535:
        raise BadRequest(f"{port} is no port", "give one from 1024 to 65535")
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    last: OSError | None = None
    for number in [port] if port is not None else range(PORT, PORT + TRIED):
        # The protocol is named, as asyncio sends small answers at once only on a socket that says it is TCP.
        door = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        if os.name == "posix":
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((address, number))
            door.listen(128)
        except OSError as error:
            door.close()
            last = error
        else:
            return door
    reason = (last.strerror or str(last)).lower() if last else "no port is free"
    raise StorageTrouble(
        f"cannot listen on {address}, port {port or PORT}: {reason}",
        "choose another with --port, or stop what uses it",
    )


def url_of(door: socket.socket) -> str:
    address, port = door.getsockname()[:2]
    shown = f"[{address}]" if ":" in address else address
    return f"http://{shown}:{port}/"


def server_of(app: ASGIApp, proxies: tuple[str, ...] = ()) -> uvicorn.Server:
    """``proxies``: addresses of servers in front of this one, which say whom they speak for."""
    import uvicorn  # kept off the start-up path of other commands

    from tackside.web.safety.server import Limits, affordable, server_config

    limits = Limits(connections=affordable(), proxies=proxies)
    return uvicorn.Server(server_config(app, limits, timeout_keep_alive=30, timeout_graceful_shutdown=3))


@contextlib.contextmanager
def ended_by_ctrl_c(server: uvicorn.Server) -> Iterator[None]:
    """Ctrl-C ends the server in order, and that from here on: before it runs, an interrupt that Python raises wherever
    it just is would be lost where that is a call that a library, or the collecting of memory, makes.

    Raises KeyboardInterrupt at the end, once there was a Ctrl-C. For the main thread.
    """
    pressed = False

    def end(number: int, frame: FrameType | None) -> None:
        nonlocal pressed
        pressed = server.should_exit = True

    before = signal.signal(signal.SIGINT, end)
    try:
        yield  # the server puts a way of its own in place of this one while it runs, and raises the signal again after
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt
