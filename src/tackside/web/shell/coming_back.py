"""Where a printer or a card that is described aside comes back to: a path of our own, never an address elsewhere."""

from __future__ import annotations

from urllib.parse import parse_qsl, urlencode, urlsplit

LONGEST = 2000


def own_path(path: str, otherwise: str = "/") -> str:
    """A path of this workbench, never an address elsewhere."""
    is_own = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if is_own and len(path) <= LONGEST else otherwise


def path_with(path: str, **values: str) -> str:
    """The path with these values in its query, in the place of others of their names; empty ones are left out."""
    parts = urlsplit(path)
    kept = [(name, value) for name, value in parse_qsl(parts.query) if name not in values]
    query = urlencode([*kept, *((name, value) for name, value in values.items() if value)])
    return f"{parts.path}?{query}" if query else parts.path
