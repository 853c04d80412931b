"""Addresses that a server may call for whoever asks it: those on its own network, and no other in the world.

A name is looked up once, each address that it has is judged, and the one that was judged is called: a name that answers
otherwise a second later changes nothing.
"""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Collection

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

# Where machines rented from others keep their secrets, though no printer is there.
_NEVER = {ipaddress.ip_address("169.254.169.254"), ipaddress.ip_address("fd00:ec2::254")}
LAST_SYSTEM_PORT = 1023  # RFC 6335 section 6
_PRIVATE = tuple(map(ipaddress.ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7")))


class NotNearby(Exception):
    """The address is not on this machine's own network."""


class NameNotKnown(Exception):
    """Nothing is called so."""


def nearby_address(host: str, port: int) -> str:
    """The address in figures by which ``host`` is to be called. Raises NotNearby, NameNotKnown."""
    nearby = [each for each in _addresses(host, port) if is_nearby(each)]
    if not nearby:
        raise NotNearby
    return str(min(nearby, key=lambda each: each.version))


def is_allowed_port(port: int, usual: Collection[int]) -> bool:
    """Whether a machine of its kind may listen there: on a ``usual`` port, or on one that is assigned to no other
    service of the system."""
    return port > LAST_SYSTEM_PORT or port in usual


def is_nearby(address: Address) -> bool:
    """Whether an address is this machine's or its own network's: loopback, link-local, private (RFC 1918, 4193)."""
    plain = getattr(address, "ipv4_mapped", None) or address
    if plain in _NEVER:
        return False
    return (
        plain.is_loopback
        or plain.is_link_local
        or any(plain in network for network in _PRIVATE if network.version == plain.version)
    )


def _addresses(host: str, port: int) -> list[Address]:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise NameNotKnown from error
    return [ipaddress.ip_address(str(each[4][0]).partition("%")[0]) for each in found]
