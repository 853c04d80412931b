"""The known name that someone probably meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from tackside.errors import NotFound


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name nearest to ``word``, whatever its capitals; None where none is near."""
    by_folded = {name.casefold(): name for name in known}
    typed = word.casefold().strip()
    found = difflib.get_close_matches(typed, by_folded, n=1, cutoff=0.6)
    if not found and len(typed) > 2:  # the first words of a long name
        found = [name for name in by_folded if name.startswith(typed)]
    return by_folded[found[0]] if found else None


def not_found(kind: str, word: str, known: Iterable[str], otherwise: str) -> NotFound:
    """The error for a name that nothing has; its mend is the nearest name, else ``otherwise``."""
    near = nearest(word, known)
    return NotFound(f"there is no {kind} {word!r}", f"did you mean {near!r}?" if near else otherwise)
