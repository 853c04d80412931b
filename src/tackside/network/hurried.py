"""HTTP over connections that keep one deadline.

httpx bounds each wait by itself: whoever sends a byte now and then, of a head already, would be waited for without end.
"""

from __future__ import annotations

import ssl
import time
from collections.abc import Iterable, Iterator
from typing import Any

import httpcore
import httpx


class Deadline:
    """When an exchange has to be over. ``lift``: from then on each wait is bounded by itself alone."""

    def __init__(self, seconds: float) -> None:
        self._at: float | None = time.monotonic() + seconds

    def lift(self) -> None:
        self._at = None

    def set(self, seconds: float) -> None:
        self._at = time.monotonic() + seconds

    def left(self, timeout: float | None, late: type[Exception]) -> float | None:
        """How long may be waited, at most ``timeout`` seconds. Raises ``late`` where the time is over."""
        if self._at is None:
            return timeout
        left = self._at - time.monotonic()
        if left <= 0:
            raise late("the time is over")
        return left if timeout is None else min(timeout, left)


class HurriedTransport(httpx.BaseTransport):
    """httpx's way over httpcore, on connections that know the deadline. Raises httpcore's errors."""

    def __init__(self, deadline: Deadline, tls: ssl.SSLContext | None) -> None:
        self._pool = httpcore.ConnectionPool(
            ssl_context=tls or httpx.create_ssl_context(trust_env=False), network_backend=_Backend(deadline)
        )

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        assert isinstance(request.stream, httpx.SyncByteStream)
        answer = self._pool.handle_request(
            httpcore.Request(
                method=request.method,
                url=httpcore.URL(
                    scheme=request.url.raw_scheme,
                    host=request.url.raw_host,
                    port=request.url.port,
                    target=request.url.raw_path,
                ),
                headers=request.headers.raw,
                content=request.stream,
                extensions=request.extensions,
            )
        )
        assert isinstance(answer.stream, Iterable)
        return httpx.Response(
            answer.status, headers=answer.headers, stream=_Body(answer), extensions=answer.extensions
        )

    def close(self) -> None:
        self._pool.close()


class _Body(httpx.SyncByteStream):
    def __init__(self, answer: httpcore.Response) -> None:
        self._answer = answer

    def __iter__(self) -> Iterator[bytes]:
        yield from self._answer.iter_stream()

    def close(self) -> None:
        self._answer.close()


class _Backend(httpcore.NetworkBackend):
    def __init__(self, deadline: Deadline) -> None:
        self._deadline, self._inner = deadline, httpcore.SyncBackend()

    def connect_tcp(
        self,
        host: str,
        port: int,
        timeout: float | None = None,
        local_address: str | None = None,
        socket_options: Iterable[Any] | None = None,
    ) -> httpcore.NetworkStream:
        timeout = self._deadline.left(timeout, httpcore.ConnectTimeout)
        made = self._inner.connect_tcp(host, port, timeout, local_address, socket_options)
        return _Stream(made, self._deadline)


class _Stream(httpcore.NetworkStream):
    def __init__(self, inner: httpcore.NetworkStream, deadline: Deadline) -> None:
        self._inner, self._deadline = inner, deadline

    def read(self, max_bytes: int, timeout: float | None = None) -> bytes:
        return self._inner.read(max_bytes, self._deadline.left(timeout, httpcore.ReadTimeout))

    def write(self, buffer: bytes, timeout: float | None = None) -> None:
        self._inner.write(buffer, self._deadline.left(timeout, httpcore.WriteTimeout))

    def close(self) -> None:
        self._inner.close()

    def start_tls(
        self, ssl_context: ssl.SSLContext, server_hostname: str | None = None, timeout: float | None = None
    ) -> httpcore.NetworkStream:
        timeout = self._deadline.left(timeout, httpcore.ConnectTimeout)
        return _Stream(self._inner.start_tls(ssl_context, server_hostname, timeout), self._deadline)

    def get_extra_info(self, info: str) -> Any:
        return self._inner.get_extra_info(info)
