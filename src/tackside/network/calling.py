"""One request over HTTP to a machine on the network, with limits on time and size. No redirect is followed, no proxy
asked: the machine stands on the user's own network."""

from __future__ import annotations

import contextlib
import ssl
import zlib
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import httpcore
import httpx

from tackside import __version__
from tackside.network.hurried import Deadline, HurriedTransport

CONNECT_SECONDS = 10.0
CHUNK = 65_536
# What may be packed once, though it was not asked for: some machines pack whatever they are asked.
PACKED = ("gzip", "x-gzip", "deflate")


_BROKEN = (
    httpcore.NetworkError,
    httpcore.ProtocolError,
    httpcore.UnsupportedProtocol,
)


class Silent(Exception):
    """It does not answer, or fell silent."""


class NotReached(Exception):
    """It cannot be reached, or broke off; ``str`` is the reason in a few words."""


class Endless(Exception):
    """Its answer is larger, or takes longer, than an answer may."""


@contextlib.contextmanager
def calling(
    method: str,
    address: str,
    *,
    seconds: float,
    called_as: str | None = None,
    body: bytes | Iterator[bytes] = b"",
    headers: Mapping[str, str] | None = None,
    is_long: bool = False,
    tls: ssl.SSLContext | None = None,
    transport: httpx.BaseTransport | None = None,
) -> Iterator[httpx.Response]:
    """Send a request and hand over the answer while its body is still to come.

    ``seconds``: how long the whole exchange may take, from the connection to the last byte. A body that is handed over
    in pieces takes the time that the machine needs for it: the time bounds each piece, and begins anew at its end.
    ``is_long``: so does the body of the answer, which whoever reads it bounds. ``called_as`` is the address in figures
    that is called in place of its name, which was looked up before; the machine, and its certificate, are asked for by
    their own name. ``tls`` in place of the usual check of certificates. ``transport`` is for tests. Raises Silent,
    NotReached.
    """
    sent = {"User-Agent": f"tackside/{__version__}", "Accept-Encoding": "identity", **(headers or {})}
    deadline = Deadline(seconds)
    content = body if isinstance(body, bytes) else _handed_over(body, deadline, seconds)
    more: dict[str, Any] = {}
    parts = urlsplit(address)
    if called_as is not None:
        sent["Host"] = parts.netloc
        more = {"extensions": {"sni_hostname": parts.hostname or ""}}
        port = f":{parts.port}" if parts.port else ""
        address = urlunsplit(parts._replace(netloc=f"{bracketed(called_as)}{port}"))
    timeout = httpx.Timeout(seconds, connect=min(CONNECT_SECONDS, seconds))
    try:
        with (
            httpx.Client(
                timeout=timeout, trust_env=False, transport=transport or HurriedTransport(deadline, tls)
            ) as client,
            client.stream(method, address, content=content, headers=sent, **more) as answer,
        ):
            if is_long:
                deadline.lift()
            yield answer
    except (httpx.TimeoutException, httpcore.TimeoutException) as error:
        raise Silent from error
    except (httpx.HTTPError, httpx.InvalidURL, *_BROKEN) as error:
        raise NotReached(" ".join(str(error).split())[:120] or type(error).__name__) from error


def small_body(answer: httpx.Response, *, most_bytes: int) -> bytes:
    """The body of an answer that is short by its nature. Raises Endless, NotReached."""
    data = bytearray()
    for chunk in body_of(answer):
        data += chunk
        if len(data) > most_bytes:
            raise Endless
    return bytes(data)


def body_of(answer: httpx.Response) -> Iterator[bytes]:
    """The body of an answer, unpacked, in pieces that are never larger than what comes at once, or ``CHUNK``.

    httpx would unpack as often as the answer says it was packed, and a piece as a whole: one piece could become
    gigabytes. Raises NotReached where it is packed more than once, in another way, or not soundly.
    """
    assert isinstance(answer.stream, httpx.SyncByteStream)
    said = ",".join(answer.headers.get_list("Content-Encoding")).lower().split(",")
    ways = [way.strip() for way in said if way.strip() not in ("", "identity")]
    if not ways:
        yield from answer.stream
        return
    if len(ways) > 1 or ways[0] not in PACKED:
        raise NotReached(f"its answer is packed ({', '.join(ways)[:60]}), which was not asked for")
    unpacker = zlib.decompressobj(zlib.MAX_WBITS | 32)  # with the head of gzip or of zlib
    try:
        for piece in answer.stream:
            left = piece
            while left and not unpacker.eof:
                yield unpacker.decompress(left, CHUNK)
                left = unpacker.unconsumed_tail
    except zlib.error as error:
        raise NotReached("its answer is packed, and damaged") from error
    if not unpacker.eof:
        raise NotReached("its answer is packed, and breaks off")


def _handed_over(body: Iterator[bytes], deadline: Deadline, seconds: float) -> Iterator[bytes]:
    for piece in body:
        deadline.set(seconds)
        yield piece
    deadline.set(seconds)


def bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host
