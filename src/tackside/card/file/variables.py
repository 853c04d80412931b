"""``{name}`` in a card's words: found, filled, and printed as it stands where it is not to be filled."""

from __future__ import annotations

import re
from collections.abc import Mapping

# A doubled brace prints one; a lone one stands for itself.
_PARTS = re.compile(r"\{\{|\}\}|\{([^{}\n]{1,60})\}")


def variables_in(text: str) -> tuple[str, ...]:
    """The names in braces, each once, in order."""
    names = (found[1].strip() for found in _PARTS.finditer(text) if found[1])
    return tuple(dict.fromkeys(filter(None, names)))


def filled(text: str, values: Mapping[str, str]) -> str:
    """The text with its variables filled; braces in the values are doubled, so that they print as they are."""

    def value(found: re.Match[str]) -> str:
        name = (found[1] or "").strip()
        if name not in values:
            return found[0]
        return values[name].replace("{", "{{").replace("}", "}}")

    return _PARTS.sub(value, text)


def plain(text: str) -> str:
    """The text as it is printed: doubled braces single, unfilled variables as they stand."""
    return _PARTS.sub(lambda found: found[0][0] if found[0] in ("{{", "}}") else found[0], text)
