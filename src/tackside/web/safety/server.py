"""The server behind every door of the workbench: uvicorn, with limits on what it waits for and on open connections.

uvicorn bounds how long a connection may rest between requests. It waits without end for the head of a request, for its
body, and for a reader that has stopped reading; whoever opens connections and falls silent could take every descriptor
of the process. Those limits are added here, at the protocol, where all of them can be seen.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from tackside.web.safety.hosts import LOOPBACK

if TYPE_CHECKING:
    from starlette.types import ASGIApp

# A browser sends the head of a request at once, in one packet or two.
HEAD_SECONDS = 15.0
# A body, or a reader, that moves less than so many bytes in so long is taken for gone.
STILL_SECONDS = 30.0
LEAST_BYTES = 1024
LOOK_SECONDS = 5.0
# asyncio accepts so many before any of them is looked at.
TAKEN_AT_ONCE = 32
MOST_CONNECTIONS = 200
MOST_FROM_ONE = 60  # browsers open six


@dataclass(frozen=True)
class Limits:
    """``head`` and ``still`` in seconds. ``proxies`` speak for others: their connections count in the total alone."""

    connections: int = MOST_CONNECTIONS
    from_one: int = MOST_FROM_ONE
    head: float = HEAD_SECONDS
    still: float = STILL_SECONDS
    look: float = LOOK_SECONDS
    proxies: tuple[str, ...] = ()


def server_config(
    app: ASGIApp | Callable[..., Any], limits: Limits | None = None, **settings: Any
) -> uvicorn.Config:
    """uvicorn's settings for an app of ours.

    Forwarded addresses (``X-Forwarded-For``, ``X-Forwarded-Proto``) are believed from ``limits.proxies`` alone: whoever
    else sends them would choose the address that their wrong passwords are counted by.
    """
    bound = limits or Limits(connections=affordable())
    return uvicorn.Config(
        app, http=_protocol(bound), backlog=TAKEN_AT_ONCE, ws="none", log_level="warning", access_log=False,
        server_header=False, proxy_headers=bool(bound.proxies), forwarded_allow_ips=list(bound.proxies), **settings,
    )  # fmt: skip


def affordable() -> int:
    """How many connections may be open: half of what the system lets this process open, and no more than are of use."""
    if sys.platform == "win32":
        return MOST_CONNECTIONS
    import resource

    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return MOST_CONNECTIONS if soft == resource.RLIM_INFINITY else max(8, min(MOST_CONNECTIONS, soft // 2))


def _protocol(limits: Limits) -> type[asyncio.Protocol]:
    """The protocol of a server with these limits: uvicorn makes one a connection, and hands it nothing of ours."""
    return type("Bounded", (BoundedProtocol,), {"limits": limits})


class BoundedProtocol(H11Protocol):
    """uvicorn's protocol over h11, which ends a connection that stands still."""

    limits: Limits

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        self._arrived = 0  # bytes since the last look
        self._buffered = 0
        self._moved_at = self._head_since = self.loop.time()
        self._is_at_head = True
        super().connection_made(transport)
        if self._is_one_too_many():
            transport.abort()
            return
        self._look_next()

    def data_received(self, data: bytes) -> None:
        self._arrived += len(data)
        super().data_received(data)
        if not self.is_resting and not self._is_at_head and self._awaits_head():
            self._head_since, self._is_at_head = self.loop.time(), True
        elif self._is_at_head and not self._awaits_head():
            self._moved_at, self._is_at_head = self.loop.time(), False

    def on_response_complete(self) -> None:
        self._is_at_head = False
        super().on_response_complete()

    @property
    def is_resting(self) -> bool:
        """Between two requests, where uvicorn's own limit holds."""
        return self.timeout_keep_alive_task is not None

    @property
    def is_half_open(self) -> bool:
        return self._is_at_head and not self.is_resting

    @property
    def head_since(self) -> float:
        return self._head_since

    def _awaits_head(self) -> bool:
        return self.cycle is None or self.cycle.response_complete

    def _look_next(self) -> None:
        self.loop.call_later(self.limits.look, self._look)

    def _look(self) -> None:
        if self.transport.is_closing():
            return
        now = self.loop.time()
        if self._moves():
            self._moved_at = now
        since, most = self._moved_at, self.limits.still
        if self.is_half_open:
            since, most = self._head_since, self.limits.head
        if now - since >= most:
            self.transport.abort()
        else:
            self._look_next()

    def _moves(self) -> bool:
        """Whether the other side has done its part since the last look, or it is our turn."""
        arrived, self._arrived = self._arrived, 0
        before, self._buffered = self._buffered, self.transport.get_write_buffer_size()
        if self.flow.write_paused:
            return self._buffered != before
        if not self.is_resting and self.conn.their_state is h11.SEND_BODY:
            return arrived >= LEAST_BYTES or self.flow.read_paused
        return True

    def _is_one_too_many(self) -> bool:
        """Whether there is no place for this one. A connection that was never used makes room for a newer one, so that
        nobody is kept out by those who only hold the door."""
        others = [each for each in self.connections if each is not self and isinstance(each, BoundedProtocol)]
        host = self.client[0] if self.client else ""
        if host not in (*LOOPBACK, *self.limits.proxies):  # who all could be behind
            mine = [each for each in others if each.client is not None and each.client[0] == host]
            if len(mine) >= self.limits.from_one:
                return not _one_goes(mine)
        return len(others) >= self.limits.connections and not _one_goes(others)


def _one_goes(connections: Sequence[BoundedProtocol]) -> bool:
    """End the connection that has kept its head back for longest, else one that rests; False where all are at work."""
    held = sorted((each for each in connections if each.is_half_open), key=lambda each: each.head_since)
    chosen = next(iter(held), None) or next((each for each in connections if each.is_resting), None)
    if chosen is None:
        return False
    chosen.connections.discard(chosen)
    chosen.transport.abort()
    return True
