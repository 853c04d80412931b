"""Printers that a server may call for whoever asks it: those on its own network, and no other address in the world."""

from __future__ import annotations

from tackside.errors import BadRequest
from tackside.network.own_network import NameNotKnown, NotNearby, is_allowed_port, nearby_address
from tackside.run.ipp.client import Connection, NoAnswer, host_and_port

PRINTING_PORTS = (80, 443, 631)


def printer_nearby(uri: str, answer_seconds: float = 30.0) -> Connection:
    """A connection to a printer on this machine's own network. Raises BadRequest for any other address."""
    host, port = host_and_port(uri)
    if not is_allowed_port(port, PRINTING_PORTS):
        raise BadRequest("ipp.not-a-printing-port", uri=uri, port=port)
    try:
        return Connection(uri, answer_seconds, called_as=nearby_address(host, port))
    except NotNearby as error:
        raise BadRequest("ipp.not-nearby", uri=uri) from error
    except NameNotKnown as error:
        raise NoAnswer("ipp.name-not-known", uri=uri) from error
