"""Text from files and from other people, shown: signs that steer a terminal, or turn the order of what follows, appear
as escapes instead of doing it."""

from __future__ import annotations

# Control characters but for line break and tab (ECMA-48, C0 and C1, and DEL); line and paragraph separators; what
# overrides or embeds a direction (Unicode Standard Annex 9, table 4), which can make a name read as another.
_STEERING = (
    *(code for code in range(0x20) if code not in (0x09, 0x0A)),
    *range(0x7F, 0xA0), 0x2028, 0x2029, *range(0x202A, 0x202F), *range(0x2066, 0x206A),
)  # fmt: skip
_AS_ESCAPES = {code: f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" for code in _STEERING}
_IN_JSON = {code: f"\\u{code:04x}" for code in _STEERING if code >= 0x7F}


def visible(text: str) -> str:
    """The text with every steering sign as ``\\x1b`` or ``\\u202e``; line breaks and tabs stay."""
    return text.translate(_AS_ESCAPES)


def visible_json(document: str) -> str:
    """A JSON document whose steering signs are written as JSON's own escapes: it says the same."""
    return document.translate(_IN_JSON)
