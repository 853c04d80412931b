"""A font read for setting type: what it is called, its measures, what it has, and its shaper."""

from __future__ import annotations

import hashlib
import re
import struct
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.errors import BadRecord
from tackside.files.outside import Intake
from tackside.sheet.page.text import FACES

if TYPE_CHECKING:
    import uharfbuzz

# OpenType 1.9, OS/2, fsType: what a font's licence says of putting it into documents.
RESTRICTED, BITMAPS_ONLY, NO_SUBSET = 0x0002, 0x0200, 0x0100
LARGEST_BYTES = 200_000_000
FONT = Intake(
    BadRecord,
    missing="type.font-not-read",
    too_large="type.font-too-large",
    most_bytes=LARGEST_BYTES,
    bare=True,
)
MOST_IN_ONE = 64
COLLECTIONS = (b"ttcf",)
KINDS = (b"\x00\x01\x00\x00", b"OTTO", b"true", *COLLECTIONS)


@dataclass(frozen=True)
class Typeface:
    """A font. Lengths are in units of ``per_em`` to the em, y upwards; ``descent`` is below zero.

    ``name`` is the PostScript name, ``key`` tells fonts of one name apart, ``family`` is what people say, ``title`` the
    whole name with its style. ``data`` is the whole file, ``face_index`` which face of a collection. ``shaper`` is
    HarfBuzz' font at a scale of ``per_em``. ``own`` says that the font is shipped or named by the card, not one of this
    computer's.
    """

    name: str
    key: str
    data: bytes = field(repr=False, compare=False)
    face_index: int = 0
    family: str = field(default="", compare=False)
    title: str = field(default="", compare=False)
    own: bool = field(default=True, compare=False)
    per_em: int = field(default=1000, compare=False)
    ascent: int = field(default=0, compare=False)
    descent: int = field(default=0, compare=False)
    capitals: int = field(default=0, compare=False)
    box: tuple[int, int, int, int] = field(default=(0, 0, 0, 0), compare=False)
    embedding: int = field(default=0, compare=False)
    has_cubic_outlines: bool = field(default=False, compare=False)
    shaper: uharfbuzz.Font = field(default=None, compare=False, repr=False)

    def has(self, character: str) -> bool:
        """Whether the font has a glyph for the character."""
        return self.shaper.get_nominal_glyph(ord(character)) is not None

    def advance(self, glyph: int) -> int:
        """How far the pen moves after a glyph."""
        return int(self.shaper.get_glyph_h_advance(glyph))


@lru_cache(maxsize=8)
def typeface(face: str) -> Typeface:
    """One of the shipped fonts: ``sans``, ``serif`` or another of the sheet's faces."""
    file = resources.files("tackside.sheet") / "fonts" / FACES[face]
    return read_typeface(file.read_bytes(), FACES[face], shipped=True)


def typeface_from(path: Path, *, number: int = 1, own: bool = True) -> Typeface:
    """A font file, of a collection the font ``number``, counted from 1.

    Raises BadRecord where it cannot be read, or may not be put into a file.
    """
    return read_typeface(FONT.read(path), path.name, face_index=number - 1, own=own)


def typefaces_in(path: Path) -> tuple[Typeface, ...]:
    """All fonts of a file that can be used. Raises BadRecord where there is none, with what is wrong with the first."""
    data = FONT.read(path)
    found: list[Typeface] = []
    faults: list[BadRecord] = []
    for index in range(min(fonts_in(data), MOST_IN_ONE)):
        try:
            found.append(read_typeface(data, path.name, face_index=index))
        except BadRecord as error:
            faults.append(error)
    if not found:
        raise faults[0] if faults else BadRecord("type.not-a-font", file=path.name)
    return tuple(found)


def fonts_in(data: bytes) -> int:
    """How many fonts a file holds: the header of a collection says it (OpenType 1.9, TTC header), else one."""
    if data[:4] not in COLLECTIONS:
        return 1
    count: int = struct.unpack_from(">L", data, 8)[0] if len(data) >= 12 else 0
    return count


def may_be_embedded(os2: bytes) -> bool:
    """Whether a font's licence lets it be put into a file, by its OS/2 table."""
    return not _forbids(_embedding(os2))


def read_typeface(
    data: bytes, file: str, *, face_index: int = 0, own: bool = True, shipped: bool = False
) -> Typeface:
    """A font from its bytes; ``file`` is what errors call it. Raises BadRecord."""
    import uharfbuzz as hb  # kept off the start-up path

    if data[:4] not in KINDS:
        raise BadRecord("type.not-a-font", file=file)
    face = hb.Face(data, face_index)
    try:
        tables = set(face.table_tags)
        known = hb.OTNameIdPredefined
        name, family, title = (
            str(face.get_name(which) or Path(file).stem)
            for which in (known.POSTSCRIPT_NAME, known.FONT_FAMILY, known.FULL_NAME)
        )
    except UnicodeDecodeError as error:
        raise BadRecord("type.font-damaged", file=file) from error
    outlines = tables & {"glyf", "CFF "}
    if face.glyph_count == 0 or not outlines or not tables >= {"cmap", "head", "hhea", "hmtx", "maxp"}:
        raise BadRecord("type.font-without-outlines", file=file)
    font = hb.Font(face)
    font.scale = (face.upem, face.upem)
    head, hhea, os2 = (bytes(face.reference_table(tag).data) for tag in ("head", "hhea", "OS/2"))
    if len(head) < 54 or len(hhea) < 36:
        raise BadRecord("type.font-damaged", file=file)
    embedding = _embedding(os2)
    if _forbids(embedding):
        raise BadRecord("type.licence-forbids", file=file)
    ascent, descent = struct.unpack_from(">2h", hhea, 4)
    name = _plain_name(name)
    return Typeface(
        name=name,
        key=name if shipped else f"{name}-{hashlib.sha256(data).hexdigest()[:6]}",
        data=data,
        face_index=face_index,
        family=family,
        title=title,
        own=own,
        per_em=face.upem,
        ascent=ascent,
        descent=descent,
        capitals=_capitals(os2, face.upem),
        box=struct.unpack_from(">4h", head, 36),
        embedding=embedding,
        has_cubic_outlines="CFF " in outlines,
        shaper=font,
    )


def _embedding(os2: bytes) -> int:
    """fsType of an OS/2 table; 0, all allowed, where there is none."""
    found: int = struct.unpack_from(">H", os2, 8)[0] if len(os2) >= 10 else 0
    return found


def _forbids(embedding: int) -> bool:
    """Bits 0 to 3 hold one usage; 2 alone is "restricted"."""
    return embedding & 0x000F == RESTRICTED or bool(embedding & BITMAPS_ONLY)


def _capitals(os2: bytes, per_em: int) -> int:
    """Height of capitals (OS/2 version 2 and later), else seven tenths of the em."""
    if len(os2) >= 90 and struct.unpack_from(">H", os2)[0] >= 2:
        height: int = struct.unpack_from(">h", os2, 88)[0]
        if height > 0:
            return height
    return round(0.7 * per_em)


def _plain_name(name: str) -> str:
    """A name as PDF takes it without escapes."""
    return re.sub(r"[^A-Za-z0-9_-]", "-", name)[:63] or "Font"
