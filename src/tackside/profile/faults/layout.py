"""Faults of the list of contents (ISO 15076-1:2010, 7.3): places beyond the end, overlaps, repeats."""

from __future__ import annotations

from collections.abc import Iterator

from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.icc.inspect import ENTRY_SIZE, HEADER_SIZE, Header, ProfileTag

SMALLEST_TAG = 8  # type signature and four reserved bytes


def layout_faults(profile: bytes, header: Header, tags: tuple[ProfileTag, ...]) -> Iterator[ProfileFault]:
    if not tags:
        yield ProfileFault("wrong", "list", Message("profile-fault.empty"))
    start = HEADER_SIZE + 4 + ENTRY_SIZE * len(tags)
    for tag in tags:
        yield from _place(tag, start, header.size)
    yield from _repeats(tags)
    yield from _overlaps([tag for tag in tags if tag.content is not None and tag.offset >= start])


def _place(tag: ProfileTag, start: int, size: int) -> Iterator[ProfileFault]:
    if tag.offset + tag.size > size:
        yield ProfileFault("wrong", tag.signature, Message("profile-fault.beyond-end"))
    elif tag.offset < start:
        yield ProfileFault("wrong", tag.signature, Message("profile-fault.upon-header"))
    elif tag.size < SMALLEST_TAG:
        yield ProfileFault("wrong", tag.signature, Message("profile-fault.too-short", bytes=tag.size))
    elif tag.offset % 4:
        yield ProfileFault("wrong", tag.signature, Message("profile-fault.not-on-four"))
    elif tag.content is not None and any(tag.content[4:8]):
        yield ProfileFault("doubtful", tag.signature, Message("profile-fault.reserved"))


def _repeats(tags: tuple[ProfileTag, ...]) -> Iterator[ProfileFault]:
    seen: set[str] = set()
    for tag in tags:
        if tag.signature in seen:
            yield ProfileFault("wrong", tag.signature, Message("profile-fault.listed-twice"))
        seen.add(tag.signature)


def _overlaps(tags: list[ProfileTag]) -> Iterator[ProfileFault]:
    """Tags may share one place, but not half of it (7.3.1)."""
    places: dict[tuple[int, int], str] = {}
    for tag in tags:
        places.setdefault((tag.offset, tag.size), tag.signature)
    end, holder = 0, ""
    for (offset, size), signature in sorted(places.items()):
        if offset < end:
            yield ProfileFault("wrong", signature, Message("profile-fault.overlaps", tag=holder))
        if offset + size > end:
            end, holder = offset + size, signature
