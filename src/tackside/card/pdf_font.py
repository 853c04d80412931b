"""A shipped font inside a PDF: a composite font whose codes are glyph numbers (ISO 32000-1, clause 9.7)."""

from __future__ import annotations

from collections.abc import Iterable

import pikepdf
from pikepdf import Array, Dictionary, Name

from tackside.card.typeface import Typeface

NONSYMBOLIC = 1 << 5  # clause 9.8.2, table 123


def embed_font(pdf: pikepdf.Pdf, font: Typeface, characters: Iterable[str]) -> pikepdf.Object:
    """The whole font, with the widths of ``characters`` and their meaning, so that text can be found and
    copied.
    """
    used = sorted(characters)
    name = Name(f"/{font.name}")
    has_outlines_of_postscript = "CFF " in font.tables
    descriptor = Dictionary(
        Type=Name.FontDescriptor,
        FontName=name,
        Flags=NONSYMBOLIC,
        FontBBox=Array([_per_thousand(font, edge) for edge in font.box]),
        ItalicAngle=0,
        Ascent=_per_thousand(font, font.ascent),
        Descent=_per_thousand(font, font.descent),
        CapHeight=_per_thousand(font, font.ascent),
        StemV=80,
    )
    if has_outlines_of_postscript:
        descriptor.FontFile3 = pdf.make_stream(font.tables["CFF "], Subtype=Name.CIDFontType0C)
    else:
        descriptor.FontFile2 = pdf.make_stream(font.data, Length1=len(font.data))
    descendant = Dictionary(
        Type=Name.Font,
        Subtype=Name.CIDFontType0 if has_outlines_of_postscript else Name.CIDFontType2,
        BaseFont=name,
        CIDSystemInfo=Dictionary(
            Registry=pikepdf.String("Adobe"), Ordering=pikepdf.String("Identity"), Supplement=0
        ),
        FontDescriptor=pdf.make_indirect(descriptor),
        W=_widths(font, used),
    )
    if not has_outlines_of_postscript:
        descendant.CIDToGIDMap = Name.Identity
    return pdf.make_indirect(
        Dictionary(
            Type=Name.Font,
            Subtype=Name.Type0,
            BaseFont=name,
            Encoding=Name("/Identity-H"),
            DescendantFonts=Array([pdf.make_indirect(descendant)]),
            ToUnicode=pdf.make_stream(_to_unicode(font, used)),
        )
    )


def shown(font: Typeface, line: str) -> str:
    """A line as the operand of TJ: glyph numbers, and between them what kerning takes away."""
    parts: list[str] = []
    run = ""
    glyphs = [font.glyphs[character] for character in line]
    for glyph, following in zip(glyphs, [*glyphs[1:], -1], strict=True):
        run += f"{glyph:04X}"
        kern = font.kerning.get((glyph, following), 0)
        if kern:
            parts.append(f"<{run}> {-kern * 1000 / font.per_em:g}")
            run = ""
    return f"[{' '.join(parts)} <{run}>]"


def _per_thousand(font: Typeface, units: int) -> int:
    return round(units * 1000 / font.per_em)


def _widths(font: Typeface, characters: list[str]) -> Array:
    glyphs = sorted({font.glyphs[character] for character in characters})
    entries: list[Array | int] = []
    for glyph in glyphs:
        entries += [glyph, Array([_per_thousand(font, font.advances[glyph])])]
    return Array(entries)


def _to_unicode(font: Typeface, characters: list[str]) -> bytes:
    """The map from glyphs back to characters (clause 9.10.3)."""
    pairs = {font.glyphs[character]: character.encode("utf-16-be").hex().upper() for character in characters}
    entries = [f"<{glyph:04X}> <{code}>" for glyph, code in sorted(pairs.items())]
    # At most a hundred entries a block, as the CMap specification asks.
    blocks = [entries[i : i + 100] for i in range(0, len(entries), 100)]
    body = "\n".join(f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks)
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
        f"{body}\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
    ).encode("ascii")
