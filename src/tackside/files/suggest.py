"""The known name that someone probably meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

from tackside.errors import NotFound
from tackside.messages.message import Message


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name nearest to ``word``, whatever its capitals; None where none is near."""
    by_folded = {name.casefold(): name for name in known}
    typed = word.casefold().strip()
    found = difflib.get_close_matches(typed, by_folded, n=1, cutoff=0.6)
    if not found and len(typed) > 2:  # the first words of a long name
        found = [name for name in by_folded if name.startswith(typed)]
    return by_folded[found[0]] if found else None


def not_found(code: str, name: str, known: Iterable[str], otherwise: Message, /, **values: Any) -> NotFound:
    """The error ``code`` for a name that nothing has. Its text has ``{name}``, and ``{hint}`` as its fix: the nearest
    name, else ``otherwise``.
    """
    near = nearest(name, known)
    hint = Message("file.did-you-mean", near=near) if near else otherwise
    return NotFound(code, name=name, hint=hint, **values)
