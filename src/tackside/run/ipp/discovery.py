"""Printers on the network that announce themselves (DNS-SD, RFC 6763; service types of PWG 5100.14)."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from tackside.errors import PrinterTrouble

SERVICES = {"_ipp._tcp.local.": "ipp", "_ipps._tcp.local.": "ipps"}


@dataclass(frozen=True, order=True)
class Announced:
    """One printer as it announces itself."""

    name: str
    uri: str
    model: str


def find_printers(seconds: float = 3.0, interfaces: Sequence[str] | None = None) -> tuple[Announced, ...]:
    """Listen for so many seconds; by default on all interfaces. Raises PrinterTrouble where listening is impossible."""
    from zeroconf import InterfaceChoice, ServiceBrowser, Zeroconf

    try:
        zeroconf = Zeroconf(interfaces=list(interfaces) if interfaces else InterfaceChoice.All)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise PrinterTrouble("ipp.cannot-listen", reason=reason) from error
    try:
        heard = _Heard()
        browser = ServiceBrowser(zeroconf, list(SERVICES), handlers=[heard.note])
        time.sleep(seconds)
        browser.cancel()
        found = [_resolve(zeroconf, service, name) for service, name in sorted(heard.names)]
        return tuple(sorted({each for each in found if each is not None}))
    finally:
        zeroconf.close()


class _Heard:
    def __init__(self) -> None:
        self.names: set[tuple[str, str]] = set()

    def note(self, zeroconf: object, service_type: str, name: str, state_change: object) -> None:
        self.names.add((service_type, name))


def _resolve(zeroconf: object, service: str, name: str) -> Announced | None:
    from zeroconf import Zeroconf

    assert isinstance(zeroconf, Zeroconf)
    info = zeroconf.get_service_info(service, name, timeout=1500)
    if info is None or not info.server or not info.port:
        return None
    texts = {
        key.decode("utf-8", "replace"): (value or b"").decode("utf-8", "replace")
        for key, value in info.properties.items()
    }
    path = texts.get("rp", "ipp/print").lstrip("/")
    uri = f"{SERVICES[service]}://{info.server.rstrip('.')}:{info.port}/{path}"
    return Announced(name.removesuffix(f".{service}"), uri, texts.get("ty", ""))
