"""The catalogue: for each code what it says in English, once. Other languages stand in ``locale/`` by the same codes.

A module in a room of ``texts`` holds the codes of one subject, and is loaded when the first of them is worded. In a
text stands ``{name}`` for a value, or ``{name:.1f}`` with a number's format (see ``wording``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module


@dataclass(frozen=True)
class Plural:
    """One text for a count of one, another for any other count. ``by`` names the value that counts."""

    one: str
    many: str
    by: str = "count"


@dataclass(frozen=True)
class Where:
    """What is done in one way at the terminal and in another on a page: commands here, pages there."""

    terminal: str | Plural
    page: str | Plural


@dataclass(frozen=True)
class Fault:
    """What is wrong, and what to do about it. Neither ends in a full stop, nor begins with a capital."""

    what: str | Plural | Where
    fix: str | Plural | Where


Text = str | Plural | Where
Entry = Text | Fault


class Unknown(LookupError):
    """A code that no module of ``texts`` holds."""


def entry_of(code: str) -> Entry:
    """What the code says. Errors: ``Unknown``."""
    try:
        return texts_of(code.partition(".")[0])[code]
    except KeyError:
        raise Unknown(code) from None


@lru_cache
def modules() -> Mapping[str, str]:
    """Where the texts of each subject stand: its module, in a room of ``texts``."""
    from tackside.messages import texts  # only once something is worded

    return {
        subject: f"{texts.__name__}.{room}.{subject.replace('-', '_')}"
        for room, held in texts.ROOMS.items()
        for subject in held
    }


@lru_cache
def texts_of(subject: str) -> Mapping[str, Entry]:
    """All texts of a subject; none where there is no such subject."""
    module = modules().get(subject)
    if module is None:
        return {}
    held: Mapping[str, Entry] = import_module(module).TEXTS
    return held


def subjects() -> tuple[str, ...]:
    """Every subject that there is."""
    return tuple(sorted(modules()))


def all_entries() -> Iterator[tuple[str, Entry]]:
    """Every code with what it says."""
    for subject in subjects():
        yield from texts_of(subject).items()


def strings_in(entry: Entry) -> Iterator[str | Plural]:
    """The single texts of an entry, as a translator sees them."""
    if isinstance(entry, Fault):
        for part in (entry.what, entry.fix):
            yield from strings_in(part)
    elif isinstance(entry, Where):
        yield entry.terminal
        if entry.page != entry.terminal:
            yield entry.page
    else:
        yield entry
