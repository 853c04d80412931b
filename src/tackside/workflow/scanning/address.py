"""Where a scanner is, as a person types it: an address of the network, or a device of SANE."""

from __future__ import annotations

from urllib.parse import urlsplit

from tackside.errors import BadRequest, ScannerTrouble
from tackside.network.own_network import NameNotKnown, NotNearby, is_allowed_port, nearby_address
from tackside.reading.scanning.escl import EsclScanner
from tackside.reading.scanning.sane import sane_devices

SANE = "sane:"
SCANNING_PORTS = (80, 443, 631)
_PORTS = {"http": 80, "https": 443}
_PATH = "/eSCL"


def address_of(typed: str) -> str:
    """The address in its one form: ``https://host/eSCL``, or ``sane:DEVICE``. Raises BadRequest for none."""
    text = typed.strip()
    if text.startswith(SANE):
        device = text.removeprefix(SANE).strip()
        if not device or not device.isprintable():
            raise BadRequest("scanning.no-address", address=typed[:100])
        return f"{SANE}{device}"
    try:
        parts = urlsplit(text if "://" in text else f"http://{text}")
        sound = parts.scheme in _PORTS and bool(parts.hostname) and (parts.port or 80) > 0
    except ValueError:
        sound = False
    if not sound or parts.username is not None or not text.isprintable() or " " in text:
        raise BadRequest("scanning.no-address", address=typed[:100])
    host, port = parts.hostname or "", parts.port
    bare = f"[{host}]" if ":" in host else host
    place = bare if port in (None, _PORTS[parts.scheme]) else f"{bare}:{port}"
    return f"{parts.scheme}://{place}{parts.path.rstrip('/') or _PATH}"


def scanner_at(address: str, *, certificate: str | None, nearby_only: bool) -> EsclScanner:
    """A scanner of the network. ``nearby_only``: for whoever asks by a page, where no other address is called.

    Raises BadRequest, ScannerTrouble.
    """
    if not nearby_only:
        return EsclScanner(address, certificate=certificate)
    parts = urlsplit(address)
    port = parts.port or _PORTS[parts.scheme]
    if not is_allowed_port(port, SCANNING_PORTS):
        raise BadRequest("scanning.not-a-scanning-port", scanner=address, port=port)
    try:
        called_as = nearby_address(parts.hostname or "", port)
    except NotNearby as error:
        raise BadRequest("scanning.not-nearby", scanner=address) from error
    except NameNotKnown as error:
        raise ScannerTrouble("scanning.name-not-known", scanner=address) from error
    return EsclScanner(address, called_as=called_as, certificate=certificate)


def require_own_device(device: str) -> None:
    """Raises BadRequest where SANE does not list the device: its name could lead to any machine in the world."""
    if device not in {each.name for each in sane_devices()}:
        raise BadRequest("scanning.sane-not-listed", scanner=device)
