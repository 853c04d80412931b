"""Who may call: the Host and Origin of a request, against DNS rebinding and requests from other sites.

A page of another site can make a browser send requests here, and can make its own name point to this machine. The
name it was called by gives it away: loopback's names and addresses in figures cannot be bought by anyone.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Mapping, Sequence
from urllib.parse import urlsplit

LOOPBACK = ("localhost", "127.0.0.1", "::1")
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")


def host_name(host: str) -> str | None:
    """The name in a Host header, without port and brackets, in small letters; None where it is none."""
    try:
        name = urlsplit(f"//{host}").hostname
        urlsplit(f"//{host}").port  # noqa: B018  a port that is no number is refused here
    except ValueError:
        return None
    if name is None or any(sign in host for sign in "/?#@\\ \t"):
        return None
    return name.rstrip(".")


def is_known_host(host: str, names: Sequence[str], *, any_address: bool) -> bool:
    """Whether the workbench answers to this Host header."""
    name = host_name(host)
    if name is None:
        return False
    if name in LOOPBACK or name in names:
        return True
    return any_address and _is_address(name)


def is_own_origin(method: str, headers: Mapping[str, str]) -> bool:
    """Whether a request that changes something comes from a page of our own, or from no browser at all."""
    if method in SAFE_METHODS:
        return True
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    if origin is None:
        return True
    parts = urlsplit(origin)
    return parts.scheme in ("http", "https") and parts.netloc.lower() == headers.get("host", "").lower()


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True
