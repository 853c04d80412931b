"""Services that announce themselves on the network: DNS-SD (RFC 6763) over multicast DNS (RFC 6762)."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


class CannotListen(Exception):
    """This machine gives no place to listen at; ``str`` says why. Who listens words it."""


@dataclass(frozen=True)
class AnnouncedService:
    """One service as it announces itself: its instance ``name``, of which ``kind``, where, and its TXT record."""

    name: str
    kind: str
    host: str
    port: int
    texts: Mapping[str, str] = field(default_factory=dict)
    addresses: tuple[str, ...] = ()


def listen(
    kinds: Sequence[str], seconds: float, interfaces: Sequence[str] | None = None
) -> tuple[AnnouncedService, ...]:
    """Who announces itself under one of ``kinds`` (as ``_ipp._tcp.local.``) in so many seconds, by name.

    By default on all interfaces. Raises CannotListen.
    """
    from zeroconf import InterfaceChoice, ServiceBrowser, Zeroconf

    try:
        zeroconf = Zeroconf(interfaces=list(interfaces) if interfaces else InterfaceChoice.All)
    except OSError as error:
        raise CannotListen((error.strerror or str(error)).lower()) from error
    try:
        heard = _Heard()
        browser = ServiceBrowser(zeroconf, list(kinds), handlers=[heard.note])
        time.sleep(seconds)
        browser.cancel()
        found = [_resolve(zeroconf, kind, name) for kind, name in sorted(heard.names)]
        return tuple(each for each in found if each is not None)
    finally:
        zeroconf.close()


class _Heard:
    def __init__(self) -> None:
        self.names: set[tuple[str, str]] = set()

    def note(self, zeroconf: object, service_type: str, name: str, state_change: object) -> None:
        self.names.add((service_type, name))


def _resolve(zeroconf: object, kind: str, name: str) -> AnnouncedService | None:
    from zeroconf import Zeroconf

    assert isinstance(zeroconf, Zeroconf)
    info = zeroconf.get_service_info(kind, name, timeout=1500)
    if info is None or not info.server or not info.port:
        return None
    texts = {
        key.decode("utf-8", "replace"): (value or b"").decode("utf-8", "replace")
        for key, value in info.properties.items()
    }
    return AnnouncedService(
        name.removesuffix(f".{kind}"), kind, info.server.rstrip("."), info.port, texts,
        tuple(info.parsed_addresses()),
    )  # fmt: skip
