"""Names in addresses: any name as one segment of a path, and back.

Slashes and leading dots would be taken for parts of the path by browsers and servers, so they are written as ``~`` and
two hexadecimal digits; percent-encoding is undone too early to help.
"""

from __future__ import annotations

import re
from urllib.parse import quote


def key_of(name: str) -> str:
    """``Matt 5/7`` as ``Matt%205~2F7``."""
    return quote(plain_key(name), safe="~")


def plain_key(name: str) -> str:
    """The key as the server sees it, percent-encoding undone; for the hidden fields of forms."""
    return re.sub(r"[~/\\]|^\.", lambda sign: f"~{ord(sign[0]):02X}", name)


def name_of(key: str) -> str:
    """The name in a segment that the server has already undone the percent-encoding of."""
    return re.sub(r"~([0-9A-F]{2})", lambda found: chr(int(found[1], 16)), key)
