"""Pairs of brackets for the bidirectional algorithm (UAX #9, BD14 to BD16)."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache

MOST_OPEN = 63  # BD16
# Closing brackets that do not follow on their opening ones in Unicode's order (BidiBrackets.txt).
_APART = {
    "[": "]", "{": "}", "\uff3b": "\uff3d", "\uff5b": "\uff5d", "\uff5f": "\uff60",
    "\u298d": "\u2990", "\u298f": "\u298e",
}  # fmt: skip
_LAST_BRACKET = 0xFF63


def bracket_pairs(characters: Sequence[str]) -> list[tuple[int, int]]:
    """The places of matching brackets, by their opening ones (BD16); other entries may be empty."""
    closing_of = closing_brackets()
    openers: list[tuple[str, int]] = []
    pairs: list[tuple[int, int]] = []
    for place, character in enumerate(characters):
        if character in closing_of:
            if len(openers) == MOST_OPEN:
                return []
            openers.append((closing_of[character], place))
            continue
        depth = next((i for i in range(len(openers) - 1, -1, -1) if openers[i][0] == character), None)
        if character and depth is not None:
            pairs.append((openers[depth][1], place))
            del openers[depth:]
    return sorted(pairs)


@lru_cache(maxsize=1)
def closing_brackets() -> dict[str, str]:
    """Each opening bracket with its closing one: mirrored punctuation of the kinds Ps and Pe."""
    opening = [
        chr(code)
        for code in range(0x28, _LAST_BRACKET)
        if unicodedata.category(chr(code)) == "Ps" and unicodedata.mirrored(chr(code))
    ]
    return {each: _APART.get(each, chr(ord(each) + 1)) for each in opening}
