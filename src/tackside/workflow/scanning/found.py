"""Scanners around: those that announce themselves on the network, and those that SANE finds."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from ipaddress import ip_address

from tackside.errors import BadRequest, ScannerTrouble
from tackside.network.announced import AnnouncedService, CannotListen, listen
from tackside.network.calling import bracketed
from tackside.network.own_network import NameNotKnown, NotNearby, is_nearby, nearby_address
from tackside.reading.scanning.sane import sane_devices
from tackside.workflow.scanning.address import SANE, address_of

# Encrypted first: a scanner that announces both is listed by that.
SERVICES = {"_uscans._tcp.local.": "https", "_uscan._tcp.local.": "http"}
LONGEST_S = 120.0


@dataclass(frozen=True)
class FoundScanner:
    """A scanner by the name that it is shown by, the address to scan from, and its model."""

    name: str
    address: str
    model: str


def scanners_around(
    seconds: float = 3.0, interfaces: Sequence[str] | None = None
) -> tuple[FoundScanner, ...]:
    """All of them, by name. Raises BadRequest for no time, or too long a one; ScannerTrouble where listening is
    impossible and SANE knows of none."""
    if not 0 < seconds <= LONGEST_S:
        raise BadRequest("scanning.not-so-long", seconds=seconds, most=LONGEST_S)
    with ThreadPoolExecutor(1) as beside:
        asked = beside.submit(sane_devices)
        trouble: CannotListen | None = None
        heard: tuple[AnnouncedService, ...] = ()
        try:
            heard = listen(list(SERVICES), seconds, interfaces)
        except CannotListen as error:
            trouble = error
        by_sane = [
            FoundScanner(each.model or each.name, f"{SANE}{each.name}", each.model) for each in asked.result()
        ]
    if trouble is not None and not by_sane:
        raise ScannerTrouble("scanning.cannot-listen", reason=str(trouble)) from trouble
    on_network = _announced(heard)
    return (
        *sorted(on_network, key=lambda one: one.name.lower()),
        *sorted(by_sane, key=lambda one: one.name.lower()),
    )


def _announced(heard: Sequence[AnnouncedService]) -> list[FoundScanner]:
    """Each scanner once, whatever ways it announces; those elsewhere than on this network left out."""
    known: dict[str, FoundScanner] = {}
    for service in sorted(heard, key=lambda one: list(SERVICES).index(one.kind)):
        key = service.texts.get("UUID", "").lower() or service.name
        host = _host(service)
        if host is None or key in known:
            continue
        path = service.texts.get("rs", "eSCL").strip("/")
        address = address_of(f"{SERVICES[service.kind]}://{bracketed(host)}:{service.port}/{path}")
        known[key] = FoundScanner(_line(service.name), address, _line(service.texts.get("ty", "")))
    return list(known.values())


def _host(service: AnnouncedService) -> str | None:
    """Its name where this machine can look it up, else an address in figures that it announced."""
    try:
        nearby_address(service.host, service.port)
    except NotNearby:
        return None
    except NameNotKnown:
        told = [each for each in service.addresses if "%" not in each and is_nearby(ip_address(each))]
        return min(told, key=lambda each: ":" in each, default=None)
    return service.host


def _line(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())[:100]
