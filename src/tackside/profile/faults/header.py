"""The header's faults (ISO 15076-1:2010, 7.2): size, version, date, spaces, illuminant, intent, profile ID."""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.icc.inspect import HEADER_SIZE, Header

D50_FIXED = (0xF6D6, 0x10000, 0xD32D)  # 7.2.16, as s15Fixed16Number
NEAR = 2  # steps of 1/65536; makers round differently
FIRST_YEAR = 1993  # the consortium was founded in that year
NEWEST_MINOR = {2: 4, 4: 4, 5: 1}


def header_faults(profile: bytes, header: Header, today: date) -> Iterator[ProfileFault]:
    yield from _size(profile, header)
    yield from _version(profile, header)
    yield from _date(profile, today)
    yield from _spaces(header)
    if any(abs(a - b) > NEAR for a, b in zip(struct.unpack_from(">3i", profile, 68), D50_FIXED, strict=True)):
        yield ProfileFault("wrong", "header", Message("profile-fault.illuminant"))
    (intent,) = struct.unpack_from(">I", profile, 64)
    if intent & 0xFFFF > 3 or intent >> 16:
        yield ProfileFault("wrong", "header", Message("profile-fault.intent-number", intent=intent))
    yield from _profile_id(profile, header)


def created(profile: bytes) -> datetime | None:
    """When the profile says it was made (7.2.8, coordinated universal time); None where that is no moment."""
    try:
        return datetime(*struct.unpack_from(">6H", profile, 24))  # noqa: DTZ001  the format has no zone
    except ValueError:
        return None


def _size(profile: bytes, header: Header) -> Iterator[ProfileFault]:
    surplus = len(profile) - header.size
    if surplus:
        yield ProfileFault("wrong", "header", Message("profile-fault.longer-than-said", surplus=surplus))
    if header.size % 4 and header.version[0] >= 4:
        yield ProfileFault("doubtful", "header", Message("profile-fault.size-not-of-four"))


def _version(profile: bytes, header: Header) -> Iterator[ProfileFault]:
    major, minor = header.version
    if minor > NEWEST_MINOR[major]:
        yield ProfileFault(
            "doubtful", "header", Message("profile-fault.version-unpublished", version=f"{major}.{minor}")
        )
    if major == 5:
        yield ProfileFault("note", "header", Message("profile-fault.version-5"))
    if profile[10:12] != b"\0\0":
        yield ProfileFault("doubtful", "header", Message("profile-fault.version-digits"))


def _date(profile: bytes, today: date) -> Iterator[ProfileFault]:
    moment = created(profile)
    if moment is None:
        if profile[24:36] == bytes(12):
            yield ProfileFault("doubtful", "header", Message("profile-fault.no-date"))
        else:
            yield ProfileFault("wrong", "header", Message("profile-fault.date-is-none"))
    elif moment.date() > today + timedelta(days=1):  # a day for the zones
        yield ProfileFault(
            "doubtful", "header", Message("profile-fault.date-to-come", day=moment.date().isoformat())
        )
    elif moment.year < FIRST_YEAR:
        yield ProfileFault(
            "doubtful", "header", Message("profile-fault.date-before-profiles", year=moment.year)
        )


def _spaces(header: Header) -> Iterator[ProfileFault]:
    if header.profile_class == "unknown":
        yield ProfileFault("wrong", "header", Message("profile-fault.class-unknown"))
    if header.profile_class != "device link" and header.connection_space not in ("Lab", "XYZ"):
        yield ProfileFault("wrong", "header", Message("profile-fault.connection-space"))


def _profile_id(profile: bytes, header: Header) -> Iterator[ProfileFault]:
    """7.2.18: the MD5 of the profile with flags, intent and the ID itself set to zero. From version 4 on."""
    stated = profile[84:100]
    if header.version[0] < 4:
        return
    if stated == bytes(16):
        yield ProfileFault("note", "header", Message("profile-fault.no-id"))
        return
    blank = bytearray(profile[: header.size])
    blank[44:48], blank[64:68], blank[84:100] = bytes(4), bytes(4), bytes(16)
    if hashlib.md5(blank, usedforsecurity=False).digest() != stated:
        yield ProfileFault("wrong", "header", Message("profile-fault.wrong-id"))
    if any(profile[100:HEADER_SIZE]) and header.version[0] == 4:
        yield ProfileFault("doubtful", "header", Message("profile-fault.header-reserved"))
