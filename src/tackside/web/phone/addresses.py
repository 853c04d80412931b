"""This computer's addresses on the local network, the likeliest first."""

from __future__ import annotations

import ipaddress
import socket
from dataclasses import dataclass

import ifaddr

# RFC 5737 and RFC 3849: addresses for documents. A datagram socket is pointed there and sends nothing: the system says
# which of its own addresses it would send from.
_NOWHERE = (socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")
# What a phone on the same network may reach: RFC 1918, RFC 4193, RFC 6598 (shared), and link-local without a router.
_NEARBY = tuple(
    map(
        ipaddress.ip_network,
        ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "100.64.0.0/10", "169.254.0.0/16", "fc00::/7"),
    )
)


@dataclass(frozen=True)
class OwnAddress:
    """An address and the name that the system gives its network card; ``leads_out``: of the default route."""

    address: str
    card: str
    leads_out: bool


def own_addresses() -> tuple[OwnAddress, ...]:
    """Those that a phone on the same network may call; the one of the default route first, IPv4 before IPv6.

    No public address is among them: a door is never opened to the world.
    """
    outward = {_outward(family, there) for family, there in _NOWHERE}
    found = [
        OwnAddress(address, adapter.nice_name, address in outward)
        for adapter in ifaddr.get_adapters()
        for address in (each.ip if isinstance(each.ip, str) else each.ip[0] for each in adapter.ips)
        if _is_nearby(address)
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda each: (not each.leads_out, ":" in each.address)))


def _is_nearby(address: str) -> bool:
    number = ipaddress.ip_address(address.partition("%")[0])
    return any(number in network for network in _NEARBY if network.version == number.version)


def _outward(family: socket.AddressFamily, there: str) -> str | None:
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((there, 9))
            return str(probe.getsockname()[0])
    except OSError:
        return None
