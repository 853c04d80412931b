"""Fonts and type in a PDF: composite fonts whose codes are glyph numbers (ISO 32000-1, clause 9.7), cut down to the
glyphs that the card uses, and the operators that show them.
"""

from __future__ import annotations

import hashlib
import io
import logging
from collections.abc import Callable, Iterable, Sequence
from types import ModuleType

import pikepdf
from pikepdf import Array, Dictionary, Name

from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import GlyphRun, PlacedGlyph, Rgb
from tackside.card.layout.texts import PlacedText
from tackside.card.type.typeface import NO_SUBSET, Typeface
from tackside.errors import BadRecord
from tackside.units import MM_PER_POINT

# What the library remarks on a font goes to whoever sets up logging, not to the person's terminal.
logging.getLogger("fontTools").addHandler(logging.NullHandler())

NONSYMBOLIC = 1 << 5  # clause 9.8.2, table 123
# The direction of "right" on the upright panel, in PDF space (y upwards), for each clockwise turn.
RIGHT: dict[int, tuple[int, int]] = {0: (1, 0), 90: (0, -1), 180: (-1, 0), 270: (0, 1)}
SAME_LINE_MM = 1e-6
# What a glyph stands for whose character another glyph has: some readers show a code that stands for nothing.
NOTHING = "\u200b"
# Tables that a font in a PDF needs (clause 9.9): outlines, widths and measures; the rest is left out.
_NEEDLESS = (
    "BASE", "DSIG", "FFTM", "GDEF", "GPOS", "GSUB", "JSTF", "LTSH", "MATH", "OS/2", "PCLT", "SVG ", "VDMX", "VORG",
    "avar", "cmap", "fvar", "gvar", "hdmx", "HVAR", "kern", "meta", "morx", "kerx", "MVAR", "name", "post", "STAT",
    "COLR", "CPAL", "CBDT", "CBLC", "EBDT", "EBLC", "sbix", "vhea", "vmtx", "feat", "mort", "prop", "trak", "Zapf",
)  # fmt: skip


def embed_fonts(pdf: pikepdf.Pdf, faces: Sequence[CardFace]) -> dict[Typeface, tuple[str, pikepdf.Object]]:
    """Each font that the cards use, once, and its name among a page's resources. Raises BadRecord for a broken one."""
    used: dict[Typeface, dict[int, str]] = {}
    for run in (run for face in faces for text in face.texts for run in text.runs):
        meanings = used.setdefault(run.font, {})
        for glyph in run.glyphs:
            # A glyph may stand for several things, as the space for both its kinds; the plainest is kept.
            known = meanings.get(glyph.gid)
            meanings[glyph.gid] = min(filter(None, (known, glyph.text)), default="")
    return {font: (f"/{font.key}", _embedded(pdf, font, meanings)) for font, meanings in used.items()}


def text_operators(text: PlacedText, sheet_height_mm: float, paint: Callable[[Rgb], str]) -> list[str]:
    """A text as operators, BT to ET; ``paint`` gives the operator that chooses a colour.

    Where glyphs and characters do not go one by one, as in Indic scripts, a run carries its own text for readers and
    searches. Not so what runs from the right: readers turn such a text round as if it were glyphs.
    """
    operators = ["BT"]
    for run in text.runs:
        if not run.glyphs:
            continue
        spoken = not run.right_to_left and not all(glyph.text for glyph in run.glyphs)
        if spoken:
            words = (b"\xfe\xff" + run.text.encode("utf-16-be")).hex().upper()
            operators.append(f"/Span <</ActualText <{words}>>> BDC")
        operators.append(f"{paint(run.rgb)} /{run.font.key} {_number(run.size_pt)} Tf")
        operators += [_shown(line, run, text, sheet_height_mm) for line in _levels(run.glyphs)]
        if spoken:
            operators.append("EMC")
    return [*operators, "ET"]


def _levels(glyphs: Sequence[PlacedGlyph]) -> list[list[PlacedGlyph]]:
    """Neighbours at one height; marks stand higher or lower."""
    found: list[list[PlacedGlyph]] = []
    for glyph in glyphs:
        if found and abs(found[-1][-1].y_mm - glyph.y_mm) < SAME_LINE_MM:
            found[-1].append(glyph)
        else:
            found.append([glyph])
    return found


def _shown(glyphs: Sequence[PlacedGlyph], run: GlyphRun, text: PlacedText, height: float) -> str:
    """Tm and TJ: glyph numbers, and between them what lies between a glyph's own advance and its neighbour."""
    rx, ry = RIGHT[text.frame.turn_deg]
    first = glyphs[0]
    x, y = text.frame.point_on_sheet(first.x_mm, first.y_mm)
    em = run.size_pt * MM_PER_POINT
    parts, codes = [], ""
    at = 0.0  # the pen, in thousandths of an em from the first glyph
    for glyph in glyphs:
        wanted = (glyph.x_mm - first.x_mm) / em * 1000
        back = round(at - wanted, 2)
        if abs(back) >= 0.01:
            parts.append(f"<{codes}> {_number(back)}")
            codes = ""
            at -= back
        codes += f"{glyph.gid:04X}"
        at += float(_advance(run.font, glyph.gid))
    place = f"{_number(x / MM_PER_POINT)} {_number((height - y) / MM_PER_POINT)}"
    return f"{rx} {ry} {-ry} {rx} {place} Tm [{' '.join([*parts, f'<{codes}>'])}] TJ".replace("[<> ", "[")


def _embedded(pdf: pikepdf.Pdf, font: Typeface, meanings: dict[int, str]) -> pikepdf.Object:
    glyphs = sorted(meanings)
    name = Name(f"/{_tag(font, glyphs)}+{font.name}")
    descriptor = Dictionary(
        Type=Name.FontDescriptor,
        FontName=name,
        Flags=NONSYMBOLIC,
        FontBBox=Array([_per_thousand(font, edge) for edge in font.box]),
        ItalicAngle=0,
        Ascent=_per_thousand(font, font.ascent),
        Descent=_per_thousand(font, font.descent),
        CapHeight=_per_thousand(font, font.capitals),
        StemV=80,
    )
    data = _cut_down(font, glyphs)
    if font.has_cubic_outlines:
        descriptor.FontFile3 = pdf.make_stream(data, Subtype=Name.CIDFontType0C)
    else:
        descriptor.FontFile2 = pdf.make_stream(data, Length1=len(data))
    descendant = Dictionary(
        Type=Name.Font,
        Subtype=Name.CIDFontType0 if font.has_cubic_outlines else Name.CIDFontType2,
        BaseFont=name,
        CIDSystemInfo=Dictionary(
            Registry=pikepdf.String("Adobe"), Ordering=pikepdf.String("Identity"), Supplement=0
        ),
        FontDescriptor=pdf.make_indirect(descriptor),
        DW=1000,
        W=_widths(font, glyphs),
    )
    if not font.has_cubic_outlines:
        descendant.CIDToGIDMap = Name.Identity
    return pdf.make_indirect(
        Dictionary(
            Type=Name.Font,
            Subtype=Name.Type0,
            BaseFont=name,
            Encoding=Name("/Identity-H"),
            DescendantFonts=Array([pdf.make_indirect(descendant)]),
            ToUnicode=pdf.make_stream(_to_unicode(meanings)),
        )
    )


def _tag(font: Typeface, glyphs: Iterable[int]) -> str:
    """Six capitals that tell subsets apart (clause 9.6.4), the same for the same glyphs."""
    digest = hashlib.sha256(f"{font.key} {list(glyphs)}".encode()).digest()
    return "".join(chr(ord("A") + byte % 26) for byte in digest[:6])


def _cut_down(font: Typeface, glyphs: Iterable[int]) -> bytes:
    """The outlines of the glyphs alone, each under its old number. Same glyphs, same bytes.

    A font whose licence forbids it is left whole.
    """
    from fontTools import subset  # kept off the start-up path
    from fontTools.ttLib import TTFont

    try:
        with TTFont(io.BytesIO(font.data), fontNumber=font.face_index, recalcTimestamp=False) as read:
            if not font.embedding & NO_SUBSET:
                if not font.has_cubic_outlines:
                    # Names of our own, so that the font's need not be read.
                    read.setGlyphOrder([f"glyph{number:05d}" for number in range(read["maxp"].numGlyphs)])
                for tag in set(_NEEDLESS) & set(read.keys()):
                    del read[tag]
                cutter = subset.Subsetter(_options(subset))
                cutter.populate(gids=[0, *glyphs])
                cutter.subset(read)
            if font.has_cubic_outlines:
                return bytes(read.getTableData("CFF "))
            written = io.BytesIO()
            read.save(written, reorderTables=False)
            return written.getvalue()
    except Exception as error:  # a broken font makes the library raise almost anything
        raise BadRecord("type.not-embedded", font=font.name) from error


def _options(subset: ModuleType) -> object:
    return subset.Options(
        retain_gids=True,
        hinting=False,
        layout_closure=False,
        notdef_outline=True,
        recalc_timestamp=False,
        recalc_bounds=False,
        drop_tables=[],
        name_IDs=[],
        desubroutinize=False,
    )


def _advance(font: Typeface, glyph: int) -> str:
    return _number(font.advance(glyph) * 1000 / font.per_em)


def _per_thousand(font: Typeface, units: int) -> int:
    return round(units * 1000 / font.per_em)


def _widths(font: Typeface, glyphs: Iterable[int]) -> Array:
    entries: list[pikepdf.Object | int] = []
    for glyph in glyphs:
        entries += [glyph, pikepdf.Object.parse(f"[{_advance(font, glyph)}]".encode("ascii"))]
    return Array(entries)


def _to_unicode(meanings: dict[int, str]) -> bytes:
    """The map from glyphs back to characters (clause 9.10.3)."""
    entries = [
        f"<{glyph:04X}> <{(text or NOTHING).encode('utf-16-be').hex().upper()}>"
        for glyph, text in sorted(meanings.items())
    ]
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


def _number(value: float) -> str:
    """Four decimals of a point are less than a ten-thousandth of a mm."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
