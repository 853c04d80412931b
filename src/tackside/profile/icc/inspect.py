"""What an ICC profile says of itself: header and description, read with suspicion.

Any bytes may come in: the answer is a value or BadProfile. Source: ISO 15076-1:2010, 7.2 (header), 7.3 (tag
table) and multiLocalizedUnicodeType; for version 2, ICC.1:2001-04, textDescriptionType.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from tackside.errors import BadProfile

HEADER_SIZE = 128
LARGEST_BYTES = 64_000_000  # real profiles stay under a few MB
MOST_TAGS = 1000  # the standard's own count is under 100
LONGEST_TEXT = 200

COLOUR_SPACES = {b"RGB ": "RGB", b"CMYK": "CMYK", b"GRAY": "grey", b"Lab ": "Lab", b"XYZ ": "XYZ"}
CLASSES = {
    b"scnr": "input",
    b"mntr": "display",
    b"prtr": "output",
    b"link": "device link",
    b"spac": "colour space",
    b"abst": "abstract",
    b"nmcl": "named colour",
}
CHANNELS = {"RGB": 3, "CMYK": 4, "grey": 1, "Lab": 3, "XYZ": 3}


@dataclass(frozen=True)
class Header:
    """The fields of a profile's header that matter here; names as in CLASSES and COLOUR_SPACES."""

    size: int
    version: tuple[int, int]
    profile_class: str
    colour_space: str
    connection_space: str


def read_header(profile: bytes) -> Header:
    """The header of a profile (clause 7.2). Raises BadProfile where it cannot be one."""
    if len(profile) < HEADER_SIZE + 4:
        raise BadProfile("profile.shorter-than-header")
    if len(profile) > LARGEST_BYTES:
        raise BadProfile("profile.too-large", limit_mb=LARGEST_BYTES // 1_000_000)
    size, version, kind, space, connection = struct.unpack_from(">I4xI4s4s4s", profile)
    if profile[36:40] != b"acsp":
        raise BadProfile("profile.no-signature")
    if not HEADER_SIZE + 4 <= size <= len(profile):
        raise BadProfile("profile.cut-short")
    if version >> 24 not in (2, 4, 5):
        raise BadProfile("profile.version-unknown", version=version >> 24)
    return Header(
        size=size,
        version=(version >> 24, version >> 20 & 0xF),
        profile_class=CLASSES.get(kind, "unknown"),
        colour_space=COLOUR_SPACES.get(space, "other"),
        connection_space=COLOUR_SPACES.get(connection, "other"),
    )


def device_colour_space(profile: bytes) -> str:
    """``RGB``, ``CMYK``, ``grey``, ``Lab``, ``XYZ`` or ``other``: what the numbers beside the profile are."""
    return read_header(profile).colour_space


def profile_class(profile: bytes) -> str:
    """``input``, ``display``, ``output``, ``device link``, ``colour space``, … or ``unknown``."""
    return read_header(profile).profile_class


def describe(profile: bytes) -> str:
    """The profile's own description in one clean line of at most 200 characters, or ``unnamed profile``."""
    tag = read_tag(profile, b"desc")
    if tag is None:
        return "unnamed profile"
    text = _localised_text(tag) if tag[:4] == b"mluc" else _version_2_text(tag)
    printable = "".join(character if character.isprintable() else " " for character in text)
    return " ".join(printable.split())[:LONGEST_TEXT] or "unnamed profile"


def read_tag(profile: bytes, signature: bytes) -> bytes | None:
    """The data of a tag, None where the profile lacks it. Raises BadProfile where the tag table lies."""
    size = read_header(profile).size
    (count,) = struct.unpack_from(">I", profile, HEADER_SIZE)
    if count > MOST_TAGS or HEADER_SIZE + 4 + 12 * count > size:
        raise BadProfile("profile.contents-damaged")
    for entry in range(count):
        name, offset, length = struct.unpack_from(">4sII", profile, HEADER_SIZE + 4 + 12 * entry)
        if name != signature:
            continue
        if offset + length > size:
            raise BadProfile("profile.contents-past-end")
        return profile[offset : offset + length]
    return None


def _localised_text(tag: bytes) -> str:
    """The English record of a multiLocalizedUnicodeType, else its first."""
    if len(tag) < 28:
        return ""
    count, record_size = struct.unpack_from(">II", tag, 8)
    best = ""
    for record in range(min(count, MOST_TAGS)):
        place = 16 + record * record_size
        if record_size < 12 or place + 12 > len(tag):
            break
        language, length, offset = struct.unpack_from(">2s2xII", tag, place)
        text = tag[offset : offset + min(length, 4 * LONGEST_TEXT)].decode("utf-16-be", errors="replace")
        if language == b"en":
            return text
        best = best or text
    return best


def _version_2_text(tag: bytes) -> str:
    """The ASCII part of a textDescriptionType."""
    if tag[:4] != b"desc" or len(tag) < 12:
        return ""
    (length,) = struct.unpack_from(">I", tag, 8)
    return tag[12 : 12 + min(length, 4 * LONGEST_TEXT)].split(b"\0")[0].decode("ascii", errors="replace")
