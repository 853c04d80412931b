"""Faults of the list of contents (ISO 15076-1:2010, 7.3): places beyond the end, overlaps, repeats."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.profile.faults.fault import Fault
from tackside.profile.icc.inspect import HEADER_SIZE, Header
from tackside.profile.icc.tags import ENTRY_SIZE, Tag

SMALLEST_TAG = 8  # type signature and four reserved bytes


def layout_faults(profile: bytes, header: Header, tags: tuple[Tag, ...]) -> Iterator[Fault]:
    if not tags:
        yield Fault("wrong", "list", "The profile holds nothing but its header")
    start = HEADER_SIZE + 4 + ENTRY_SIZE * len(tags)
    for tag in tags:
        yield from _place(tag, start, header.size)
    yield from _repeats(tags)
    yield from _overlaps([tag for tag in tags if tag.content is not None and tag.offset >= start])


def _place(tag: Tag, start: int, size: int) -> Iterator[Fault]:
    if tag.offset + tag.size > size:
        yield Fault("wrong", tag.signature, "It lies beyond the end of the profile")
    elif tag.offset < start:
        yield Fault("wrong", tag.signature, "It lies upon the header or the list of contents itself")
    elif tag.size < SMALLEST_TAG:
        yield Fault("wrong", tag.signature, f"It has {tag.size} bytes, too few for anything")
    elif tag.offset % 4:
        yield Fault("wrong", tag.signature, "It does not begin on a boundary of four bytes")
    elif tag.content is not None and any(tag.content[4:8]):
        yield Fault("doubtful", tag.signature, "Reserved places in it are not empty")


def _repeats(tags: tuple[Tag, ...]) -> Iterator[Fault]:
    seen: set[str] = set()
    for tag in tags:
        if tag.signature in seen:
            yield Fault("wrong", tag.signature, "It is listed more than once")
        seen.add(tag.signature)


def _overlaps(tags: list[Tag]) -> Iterator[Fault]:
    """Tags may share one place, but not half of it (7.3.1)."""
    places: dict[tuple[int, int], str] = {}
    for tag in tags:
        places.setdefault((tag.offset, tag.size), tag.signature)
    end, holder = 0, ""
    for (offset, size), signature in sorted(places.items()):
        if offset < end:
            yield Fault("wrong", signature, f"It lies half upon {holder}")
        if offset + size > end:
            end, holder = offset + size, signature
