"""Printers that a server may call for whoever asks it: those on its own network, and no other address in the world.

A name is looked up once, each address that it has is judged, and the one that was judged is called: a name that answers
otherwise a second later changes nothing.
"""

from __future__ import annotations

import ipaddress
import socket

from tackside.errors import BadRequest
from tackside.run.ipp.client import Connection, NoAnswer, host_and_port

# Where machines rented from others keep their secrets, though no printer is there.
_NEVER = {ipaddress.ip_address("169.254.169.254"), ipaddress.ip_address("fd00:ec2::254")}
# Ports that the assigned numbers give to other services, among which no printer listens: all up to 1023 but these.
PRINTING_PORTS = (80, 443, 631)
LAST_SYSTEM_PORT = 1023  # RFC 6335 section 6


def printer_nearby(uri: str, answer_seconds: float = 30.0) -> Connection:
    """A connection to a printer on this machine's own network. Raises BadRequest for any other address."""
    host, port = host_and_port(uri)
    if port <= LAST_SYSTEM_PORT and port not in PRINTING_PORTS:
        raise BadRequest("ipp.not-a-printing-port", uri=uri, port=port)
    nearby = [each for each in _addresses(host, port, uri) if is_nearby(each)]
    if not nearby:
        raise BadRequest("ipp.not-nearby", uri=uri)
    return Connection(uri, answer_seconds, called_as=str(min(nearby, key=lambda each: each.version)))


def is_nearby(address: ipaddress.IPv4Address | ipaddress.IPv6Address) -> bool:
    """Whether an address is this machine's or its own network's: loopback, link-local, private (RFC 1918, 4193)."""
    plain = getattr(address, "ipv4_mapped", None) or address
    if plain in _NEVER:
        return False
    return (
        plain.is_loopback
        or plain.is_link_local
        or any(plain in network for network in _PRIVATE if network.version == plain.version)
    )


_PRIVATE = tuple(map(ipaddress.ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7")))


def _addresses(host: str, port: int, uri: str) -> list[ipaddress.IPv4Address | ipaddress.IPv6Address]:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise NoAnswer("ipp.name-not-known", uri=uri) from error
    return [ipaddress.ip_address(str(each[4][0]).partition("%")[0]) for each in found]
