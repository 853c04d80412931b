"""The server behind the workbench, and how it is stopped."""

from __future__ import annotations

import signal

import pytest
from starlette.types import Receive, Scope, Send

from tackside.cli.listening import LOOPBACK, ended_by_ctrl_c, listen, server_of


async def nothing(scope: Scope, receive: Receive, send: Send) -> None:
    """What begins and ends with its server, and answers nobody."""
    while (await receive())["type"] == "lifespan.startup":
        await send({"type": "lifespan.startup.complete"})
    await send({"type": "lifespan.shutdown.complete"})


def test_ctrl_c_before_the_server_runs_is_not_lost() -> None:
    before = signal.getsignal(signal.SIGINT)
    server = server_of(nothing)

    def interrupted_early() -> None:
        with listen(LOOPBACK, 0) as door, ended_by_ctrl_c(server):
            signal.raise_signal(signal.SIGINT)
            server.run(sockets=[door])

    with pytest.raises(KeyboardInterrupt):
        interrupted_early()
    assert server.should_exit
    assert not server.started or server.lifespan.shutdown_event.is_set()
    assert signal.getsignal(signal.SIGINT) is before


def test_a_server_that_is_ended_otherwise_ends_without_a_word() -> None:
    server = server_of(nothing)
    with listen(LOOPBACK, 0) as door, ended_by_ctrl_c(server):
        server.should_exit = True
        server.run(sockets=[door])
