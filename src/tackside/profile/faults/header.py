"""The header's faults (ISO 15076-1:2010, 7.2): size, version, date, spaces, illuminant, intent, profile ID."""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from tackside.profile.faults.fault import Fault
from tackside.profile.icc.inspect import HEADER_SIZE, Header

D50_FIXED = (0xF6D6, 0x10000, 0xD32D)  # 7.2.16, as s15Fixed16Number
NEAR = 2  # steps of 1/65536; makers round differently
FIRST_YEAR = 1993  # the consortium was founded in that year
NEWEST_MINOR = {2: 4, 4: 4, 5: 1}


def header_faults(profile: bytes, header: Header, today: date) -> Iterator[Fault]:
    yield from _size(profile, header)
    yield from _version(profile, header)
    yield from _date(profile, today)
    yield from _spaces(header)
    if any(abs(a - b) > NEAR for a, b in zip(struct.unpack_from(">3i", profile, 68), D50_FIXED, strict=True)):
        yield Fault("wrong", "header", "The light of the connection space is not D50, as it must be")
    (intent,) = struct.unpack_from(">I", profile, 64)
    if intent & 0xFFFF > 3 or intent >> 16:
        yield Fault("wrong", "header", f"The rendering intent is number {intent}; there are 0 to 3")
    yield from _profile_id(profile, header)


def created(profile: bytes) -> datetime | None:
    """When the profile says it was made (7.2.8, coordinated universal time); None where that is no moment."""
    try:
        return datetime(*struct.unpack_from(">6H", profile, 24))  # noqa: DTZ001  the format has no zone
    except ValueError:
        return None


def _size(profile: bytes, header: Header) -> Iterator[Fault]:
    surplus = len(profile) - header.size
    if surplus:
        yield Fault("wrong", "header", f"The file is {surplus} bytes longer than its header says")
    if header.size % 4 and header.version[0] >= 4:
        yield Fault("doubtful", "header", "The size is not a multiple of four bytes")


def _version(profile: bytes, header: Header) -> Iterator[Fault]:
    major, minor = header.version
    if minor > NEWEST_MINOR[major]:
        yield Fault("doubtful", "header", f"The version {major}.{minor} is not one that was published")
    if major == 5:
        yield Fault("note", "header", "It is of version 5; most programs know version 4 at most")
    if profile[10:12] != b"\0\0":
        yield Fault("doubtful", "header", "The version number holds digits where it must have none")


def _date(profile: bytes, today: date) -> Iterator[Fault]:
    moment = created(profile)
    if moment is None:
        if profile[24:36] == bytes(12):
            yield Fault("doubtful", "header", "It does not say when it was made")
        else:
            yield Fault("wrong", "header", "Its date is not a date")
    elif moment.date() > today + timedelta(days=1):  # a day for the zones
        yield Fault("doubtful", "header", f"It says that it was made on {moment:%Y-%m-%d}, which is to come")
    elif moment.year < FIRST_YEAR:
        yield Fault(
            "doubtful", "header", f"It says that it was made in {moment.year}, before there were profiles"
        )


def _spaces(header: Header) -> Iterator[Fault]:
    if header.profile_class == "unknown":
        yield Fault("wrong", "header", "It is of no class that the standard knows")
    if header.profile_class != "device link" and header.connection_space not in ("Lab", "XYZ"):
        yield Fault("wrong", "header", "It connects to a space that is neither XYZ nor CIELAB")


def _profile_id(profile: bytes, header: Header) -> Iterator[Fault]:
    """7.2.18: the MD5 of the profile with flags, intent and the ID itself set to zero. From version 4 on."""
    stated = profile[84:100]
    if header.version[0] < 4:
        return
    if stated == bytes(16):
        yield Fault("note", "header", "It carries no profile ID, so changes to it cannot be noticed")
        return
    blank = bytearray(profile[: header.size])
    blank[44:48], blank[64:68], blank[84:100] = bytes(4), bytes(4), bytes(16)
    if hashlib.md5(blank, usedforsecurity=False).digest() != stated:
        yield Fault("wrong", "header", "Its profile ID is wrong: it was changed or damaged after it was made")
    if any(profile[100:HEADER_SIZE]) and header.version[0] == 4:
        yield Fault("doubtful", "header", "Reserved places in the header are not empty")
