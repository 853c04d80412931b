"""Printers on the network that announce themselves (DNS-SD, RFC 6763; service types of PWG 5100.14)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.errors import PrinterTrouble
from tackside.network.announced import AnnouncedService, CannotListen, listen

SERVICES = {"_ipp._tcp.local.": "ipp", "_ipps._tcp.local.": "ipps"}


@dataclass(frozen=True, order=True)
class Announced:
    """One printer as it announces itself."""

    name: str
    uri: str
    model: str


def find_printers(seconds: float = 3.0, interfaces: Sequence[str] | None = None) -> tuple[Announced, ...]:
    """Listen for so many seconds; by default on all interfaces. Raises PrinterTrouble where listening is impossible."""
    try:
        heard = listen(list(SERVICES), seconds, interfaces)
    except CannotListen as error:
        raise PrinterTrouble("ipp.cannot-listen", reason=str(error)) from error
    return tuple(sorted({_announced(each) for each in heard}))


def _announced(service: AnnouncedService) -> Announced:
    path = service.texts.get("rp", "ipp/print").lstrip("/")
    uri = f"{SERVICES[service.kind]}://{service.host}:{service.port}/{path}"
    return Announced(service.name, uri, service.texts.get("ty", ""))
