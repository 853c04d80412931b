"""Entries by what may be compared: of one kind, and read alike."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence

from tackside.records import Reading
from tackside.report.entry import Entry


def read_alike(entries: Sequence[Entry], kind: Callable[[Entry], Hashable]) -> list[list[Entry]]:
    """The entries of one ``kind`` that were read alike, in the order in which each group first appears.

    A scan that no label names is like two that bear different ones; it goes with the first that it finds.
    """
    groups: dict[Hashable, list[tuple[list[Reading], list[Entry]]]] = {}
    for entry in entries:
        of_kind = groups.setdefault(kind(entry), [])
        own = next((one for one in of_kind if all(map(entry.reading.is_read_like, one[0]))), None)
        if own is None:
            own = [], []
            of_kind.append(own)
        known, members = own
        members.append(entry)
        if not any(_says(entry.reading) == _says(one) for one in known):
            known.append(entry.reading)
    places = {id(entry): place for place, entry in enumerate(entries)}
    found = [members for of_kind in groups.values() for _, members in of_kind]
    return sorted(found, key=lambda members: places[id(members[0])])


def _says(reading: Reading) -> Hashable:
    """All that ``is_read_like`` goes by."""
    return reading.uncertainty.comparable_with, reading.file_says
