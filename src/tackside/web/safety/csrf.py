"""Tokens that prove a form came from our own page: an HMAC over the browser's seat, a random cookie.

The seat is HttpOnly and SameSite=Strict; the token stands in our pages alone. A page of another site can neither
read it nor guess it.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets

SEAT_COOKIE = "tackside_seat"
FIELD = "csrf"
HEADER = "x-csrf-token"


def new_seat() -> str:
    return secrets.token_urlsafe(24)


def is_seat(seat: str | None) -> bool:
    return seat is not None and re.fullmatch(r"[A-Za-z0-9_-]{32}", seat) is not None


def token_for(seat: str, secret: bytes) -> str:
    return hmac.new(secret, b"csrf:" + seat.encode(), hashlib.sha256).hexdigest()


def holds(token: str, seat: str | None, secret: bytes) -> bool:
    """Whether a token belongs to a seat, in constant time."""
    if seat is None or not is_seat(seat):
        return False
    return hmac.compare_digest(token.encode(), token_for(seat, secret).encode())
