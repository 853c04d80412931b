"""One of the shipped fonts, read for setting type: which glyph a character has, how wide it is, what kerns.

Reads the OpenType tables that are needed (OpenType 1.9: ``cmap`` formats 4 and 12, ``head``, ``hhea``,
``hmtx``, ``kern`` format 0). The fonts are our own files, so their tables are taken at their word.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from tackside.sheet.text import FACES


@dataclass(frozen=True)
class Typeface:
    """A font's bytes and its measures, in units of ``per_em`` to the em. ``glyphs`` maps a character to its
    glyph.
    """

    name: str
    data: bytes
    tables: dict[str, bytes]
    per_em: int
    ascent: int
    descent: int
    box: tuple[int, int, int, int]
    glyphs: dict[str, int]
    advances: tuple[int, ...]
    kerning: dict[tuple[int, int], int]

    def places(self, line: str) -> list[tuple[int, float]]:
        """Each character's glyph and the place of its origin in ems from the line's start, kerned."""
        placed: list[tuple[int, float]] = []
        at, before = 0.0, None
        for character in line:
            glyph = self.glyphs[character]
            if before is not None:
                at += self.kerning.get((before, glyph), 0) / self.per_em
            placed.append((glyph, at))
            at += self.advances[glyph] / self.per_em
            before = glyph
        return placed

    def width_em(self, line: str) -> float:
        """How long a line is, in ems."""
        placed = self.places(line)
        return placed[-1][1] + self.advances[placed[-1][0]] / self.per_em if placed else 0.0


@lru_cache(maxsize=8)
def typeface(face: str) -> Typeface:
    """The shipped font for ``sans``, ``serif`` or another of the sheet's faces."""
    file = resources.files("tackside.sheet") / "fonts" / FACES[face]
    data = file.read_bytes()
    tables = _tables(data)
    box = struct.unpack_from(">4h", tables["head"], 36)
    ascent, descent = struct.unpack_from(">2h", tables["hhea"], 4)
    return Typeface(
        name=FACES[face].rsplit(".", 1)[0],
        data=data,
        tables=tables,
        per_em=struct.unpack_from(">H", tables["head"], 18)[0],
        ascent=ascent,
        descent=descent,
        box=(box[0], box[1], box[2], box[3]),
        glyphs=_glyphs(tables["cmap"]),
        advances=_advances(tables),
        kerning=dict(_kerning(tables.get("kern", b""))),
    )


def _glyphs(cmap: bytes) -> dict[str, int]:
    """Characters and their glyphs; a font without a no-break space takes the space for it."""
    glyphs = dict(_characters(cmap))
    return {"\u00a0": glyphs[" "], **glyphs}


def _tables(data: bytes) -> dict[str, bytes]:
    (count,) = struct.unpack_from(">H", data, 4)
    entries = (struct.unpack_from(">4s4xII", data, 12 + 16 * i) for i in range(count))
    return {tag.decode("ascii"): data[start : start + length] for tag, start, length in entries}


def _advances(tables: dict[str, bytes]) -> tuple[int, ...]:
    """Every glyph's advance; the last full entry of ``hmtx`` holds for all that follow."""
    (full,) = struct.unpack_from(">H", tables["hhea"], 34)
    (glyphs,) = struct.unpack_from(">H", tables["maxp"], 4)
    widths = [struct.unpack_from(">H", tables["hmtx"], 4 * i)[0] for i in range(full)]
    return tuple(widths + [widths[-1]] * (glyphs - full))


def _characters(cmap: bytes) -> Iterator[tuple[str, int]]:
    (count,) = struct.unpack_from(">H", cmap, 2)
    subtables = {}
    for i in range(count):
        platform, encoding, start = struct.unpack_from(">HHI", cmap, 4 + 8 * i)
        subtables[platform, encoding] = cmap[start:]
    for key in ((3, 10), (0, 4), (3, 1), (0, 3)):  # the widest Unicode coverage first
        if key not in subtables:
            continue
        chosen = subtables[key]
        (form,) = struct.unpack_from(">H", chosen)
        yield from _groups(chosen) if form == 12 else _segments(chosen)
        return


def _groups(table: bytes) -> Iterator[tuple[str, int]]:
    (count,) = struct.unpack_from(">I", table, 12)
    for i in range(count):
        first, last, glyph = struct.unpack_from(">III", table, 16 + 12 * i)
        for code in range(first, last + 1):
            yield chr(code), glyph + code - first


def _segments(table: bytes) -> Iterator[tuple[str, int]]:
    (twice,) = struct.unpack_from(">H", table, 6)
    count = twice // 2
    ends = struct.unpack_from(f">{count}H", table, 14)
    starts = struct.unpack_from(f">{count}H", table, 16 + twice)
    deltas = struct.unpack_from(f">{count}h", table, 16 + 2 * twice)
    for i in range(count):
        place = 16 + 3 * twice + 2 * i
        (offset,) = struct.unpack_from(">H", table, place)
        for code in range(starts[i], min(ends[i], 0xFFFE) + 1):
            if offset == 0:
                glyph = (code + deltas[i]) & 0xFFFF
            else:
                (glyph,) = struct.unpack_from(">H", table, place + offset + 2 * (code - starts[i]))
                glyph = (glyph + deltas[i]) & 0xFFFF if glyph else 0
            if glyph:
                yield chr(code), glyph


def _kerning(kern: bytes) -> Iterator[tuple[tuple[int, int], int]]:
    """The pairs of the first horizontal subtable; fonts that kern elsewhere (GPOS) are set without."""
    if len(kern) < 18:
        return
    (coverage,) = struct.unpack_from(">H", kern, 8)
    if coverage & 0xFF07 != 1:
        return
    (pairs,) = struct.unpack_from(">H", kern, 10)
    for i in range(pairs):
        left, right, value = struct.unpack_from(">HHh", kern, 18 + 6 * i)
        yield (left, right), value
