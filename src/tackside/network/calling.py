"""One request over HTTP to a machine on the network, with limits on time and size. No redirect is followed, no proxy
asked: the machine stands on the user's own network."""

from __future__ import annotations

import contextlib
import ssl
import time
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import httpx

from tackside import __version__

CONNECT_SECONDS = 10.0


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
    tls: ssl.SSLContext | None = None,
    transport: httpx.BaseTransport | None = None,
) -> Iterator[httpx.Response]:
    """Send a request and hand over the answer while its body is still to come.

    ``seconds``: how long it may be silent. ``called_as`` is the address in figures that is called in place of its name,
    which was looked up before; the machine, and its certificate, are asked for by their own name. ``tls`` in place of
    the usual check of certificates. ``transport`` is for tests. Raises Silent, NotReached.
    """
    sent = {"User-Agent": f"tackside/{__version__}", **(headers or {})}
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
            httpx.Client(timeout=timeout, trust_env=False, verify=tls or True, transport=transport) as client,
            client.stream(method, address, content=body, headers=sent, **more) as answer,
        ):
            yield answer
    except httpx.TimeoutException as error:
        raise Silent from error
    except (httpx.HTTPError, httpx.InvalidURL) as error:
        raise NotReached(" ".join(str(error).split())[:120] or type(error).__name__) from error


def small_body(answer: httpx.Response, *, most_bytes: int, seconds: float) -> bytes:
    """The body of an answer that is short by its nature. Raises Endless."""
    deadline = time.monotonic() + seconds
    data = bytearray()
    for chunk in answer.iter_bytes():
        data += chunk
        if len(data) > most_bytes or time.monotonic() > deadline:
            raise Endless
    return bytes(data)


def bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host
