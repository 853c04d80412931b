"""What an ICC profile says of itself, read with suspicion: header, description, and its list of contents: where each
tag lies, and whether it can lie there.

Any bytes may come in: the answer is a value or BadProfile; no offset and no length is trusted. Source: ISO
15076-1:2010, 7.2 (header), 7.3 (tag table), multiLocalizedUnicodeType and XYZType; for version 2, ICC.1:2001-04,
textDescriptionType.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab
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


ENTRY_SIZE = 12


@dataclass(frozen=True)
class ProfileTag:
    """One line of the tag table: ``offset`` and ``size`` in bytes, as the profile claims them.

    ``content`` is a view of the profile's own bytes (a hostile table may name the whole file a thousand times),
    None where that place is not inside the profile.
    """

    signature: str
    offset: int
    size: int
    content: memoryview | None

    @property
    def type(self) -> str:
        """The type signature, four characters; empty where there is none to read."""
        return "" if self.content is None or len(self.content) < 8 else _signature(bytes(self.content[:4]))


def read_tags(profile: bytes) -> tuple[ProfileTag, ...]:
    """All lines of the tag table, repeats included. Raises BadProfile where the table itself cannot be."""
    size = read_header(profile).size
    (count,) = struct.unpack_from(">I", profile, HEADER_SIZE)
    if count > MOST_TAGS or HEADER_SIZE + 4 + ENTRY_SIZE * count > size:
        raise BadProfile("profile.contents-damaged")
    return tuple(_tag(memoryview(profile), size, number) for number in range(count))


def contents(tags: tuple[ProfileTag, ...]) -> dict[str, memoryview]:
    """Signature → content of every tag that lies inside the profile; of repeats the first, as readers take it."""
    found: dict[str, memoryview] = {}
    for tag in tags:
        if tag.content is not None:
            found.setdefault(tag.signature, tag.content)
    return found


def retagged(profile: bytes, places: dict[str, str]) -> bytes:
    """The same profile with ``places`` (signature → the tag whose content it is to name); others stay.

    A signature that the table lacks takes the line of the tag it points to. Raises BadProfile.
    """
    tags = read_tags(profile)
    lines = {tag.signature: (tag.offset, tag.size) for tag in reversed(tags)}
    table = bytearray(profile)
    for signature, source in places.items():
        if source not in lines:
            continue
        for number, tag in enumerate(tags):
            here = HEADER_SIZE + 4 + ENTRY_SIZE * number
            if tag.signature == signature or (signature not in lines and tag.signature == source):
                struct.pack_into(">4sII", table, here, signature.encode("latin-1"), *lines[source])
    return bytes(table)


def with_contents(profile: bytes, changed: dict[str, bytes]) -> bytes:
    """The same profile with other content in some of its tags, laid at its end. A signature that it lacks is passed
    over. The checksum in the header is not worked out again. Raises BadProfile.
    """
    made = bytearray(profile[: read_header(profile).size])
    for number, tag in enumerate(read_tags(profile)):
        if tag.signature in changed:
            made += bytes(-len(made) % 4)
            content = changed[tag.signature]
            entry = HEADER_SIZE + 4 + ENTRY_SIZE * number
            struct.pack_into(">II", made, entry + 4, len(made), len(content))
            made += content
    struct.pack_into(">I", made, 0, len(made))
    return bytes(made)


def media_white(profile: bytes) -> Floats:
    """XYZ (3,) of the medium's white, 1 for the perfect diffuser, as LittleCMS takes it.

    D50 where the tag is missing or senseless, and for displays of version 2, whose tag is often the white
    before adaptation (LittleCMS does the same).
    """
    header = read_header(profile)
    white = tag_xyz(contents(read_tags(profile)).get("wtpt"))
    if white is None or is_old_display(header) or np.any(white <= 0) or np.any(white > 2):
        return WHITE_D50
    return white


def is_old_display(header: Header) -> bool:
    return header.version[0] < 4 and header.profile_class == "display"


def tag_xyz(content: memoryview | None) -> Floats | None:
    """The first XYZ of an XYZType, None where the tag is not one."""
    if content is None or len(content) < 20 or bytes(content[:4]) != b"XYZ ":
        return None
    return np.array(struct.unpack_from(">3i", content, 8)) / 65536


def to_icc_absolute(lab: Floats, white: Floats) -> Floats:
    """Media-relative CIELAB (..., 3) as ICC-absolute: XYZ times white over D50 (ISO 15076-1, 6.3.2.2)."""
    return xyz_to_lab(lab_to_xyz(lab) * (white / WHITE_D50))


def to_media_relative(lab: Floats, white: Floats) -> Floats:
    """ICC-absolute CIELAB (..., 3) as media-relative, the reverse of ``to_icc_absolute``."""
    return xyz_to_lab(lab_to_xyz(lab) * (WHITE_D50 / white))


def _tag(profile: memoryview, size: int, number: int) -> ProfileTag:
    name, offset, length = struct.unpack_from(">4sII", profile, HEADER_SIZE + 4 + ENTRY_SIZE * number)
    inside = offset + length <= size
    return ProfileTag(_signature(name), offset, length, profile[offset : offset + length] if inside else None)


def _signature(raw: bytes) -> str:
    """Four characters; what cannot be printed becomes a question mark."""
    return "".join(chr(byte) if 32 <= byte < 127 else "?" for byte in raw)
