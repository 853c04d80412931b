"""Text on panels: every character accounted for, shaped, aligned, never off its box."""

from __future__ import annotations

import unicodedata
from importlib import resources
from pathlib import Path

import pytest
import uharfbuzz
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from tackside.card.file.design import CardText
from tackside.card.layout.texts import SAFE_MM, PlacedText, missing_characters, place_text
from tackside.card.type.fonts import Fonts
from tackside.card.type.typeface import typeface
from tackside.errors import BadRecord, DoesNotFit
from tackside.fit.model import Panel
from tackside.messages.message import Message
from tackside.sheet.page.text import FACES
from tackside.units import MM_PER_POINT, Box
from tests.refusals import refused

TRIM = Box(0, 148.5, 210, 148.5)
PANEL = Panel(name="back", trim=TRIM, printable=TRIM, turn_deg=0)
FONTS = Fonts(folders=())


def placed(text: str, margin_mm: float = 0, panel: Panel = PANEL, **asked: object) -> PlacedText:
    return place_text(CardText(panel="back", text=text, **asked), panel, margin_mm, FONTS)  # type: ignore[arg-type]


def width_mm(of: PlacedText, line: int = 0) -> float:
    """From the first origin to the last glyph's end."""
    runs = [
        run for run in of.runs if run.glyphs[0].y_mm == pytest.approx(of.lines[line].baseline_mm, abs=0.01)
    ]
    last = runs[-1]
    em = last.size_pt * MM_PER_POINT / last.font.per_em
    return last.glyphs[-1].x_mm + last.font.advance(last.glyphs[-1].gid) * em - runs[0].glyphs[0].x_mm


@pytest.mark.parametrize("face", ["sans", "serif"])
def test_widths_are_freetypes(face: str) -> None:
    """Against FreeType (through Pillow) at one pixel a font unit, one character at a time."""
    font = typeface(face)
    file = resources.files("tackside.sheet") / "fonts" / FACES[face]
    with file.open("rb") as stream:
        reference = ImageFont.truetype(stream, font.per_em, layout_engine=ImageFont.Layout.BASIC)
        for character in "AgÖ é&—0,“”":
            glyph = font.shaper.get_nominal_glyph(ord(character))
            assert font.advance(glyph) == pytest.approx(reference.getlength(character), abs=1)


@pytest.mark.parametrize("face", list(FACES))
def test_glyphs_stand_where_harfbuzz_puts_them(face: str) -> None:
    """A line shaped by HarfBuzz directly, by its own guess of script and direction."""
    text = "AVATAR, Tomorrow’s office fjord"
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    font = uharfbuzz.Font(uharfbuzz.Face(typeface(face).data))
    uharfbuzz.shape(font, buffer)
    line = placed(text, face=face, size_pt=20)
    glyphs = [glyph for run in line.runs for glyph in run.glyphs]
    assert [glyph.gid for glyph in glyphs] == [info.codepoint for info in buffer.glyph_infos]
    em = 20 * MM_PER_POINT / font.face.upem
    at = line.lines[0].x_mm
    for glyph, position in zip(glyphs, buffer.glyph_positions, strict=True):
        assert glyph.x_mm == pytest.approx(at + position.x_offset * em, abs=1e-9)
        at += position.x_advance * em


def test_pairs_are_kerned_and_ligatures_stand_for_their_letters() -> None:
    assert (
        width_mm(placed("AV", size_pt=72))
        < width_mm(placed("A", size_pt=72)) + width_mm(placed("V", size_pt=72)) - 0.5
    )
    run = placed("office", face="serif").runs[0]
    assert "".join(glyph.text for glyph in run.glyphs) == "office"
    assert len(run.glyphs) < len("office")


def test_a_missing_character_is_named_with_its_place() -> None:
    said = missing_characters(placed("Dear all,\n  Hello 漢字"))
    assert 'the text on the back panel, line 2, column 9: no font at hand has "漢"' in said.what
    assert "(CJK UNIFIED IDEOGRAPH-6F22, U+6F22) (and 1 more character)" in said.what
    assert "[[fonts]]" in said.fix


@given(st.text(min_size=1, max_size=12))
def test_any_text_at_all_is_set_or_refused_in_one_line(text: str) -> None:
    try:
        asked = CardText(panel="back", text=text, size_pt=8)
    except ValueError:
        return
    try:
        found = place_text(asked, PANEL, 0, FONTS)
    except DoesNotFit as refused:
        assert "\n" not in str(refused)  # noqa: PT017
        return
    assert found.lines


def test_decomposed_letters_find_their_composed_glyph() -> None:
    assert placed("Noe\u0308l").lines[0].text == "Noël"
    assert [g.gid for g in placed("Noe\u0308l").runs[0].glyphs] == [
        g.gid for g in placed("Noël").runs[0].glyphs
    ]


def test_a_mark_without_a_composed_letter_stands_over_its_letter() -> None:
    """x with a circumflex has no character of its own; the serif's mark positioning (GPOS) places the mark."""
    assert unicodedata.normalize("NFC", "x\u0302") == "x\u0302"
    letter, mark = placed("x\u0302", face="serif", size_pt=72).runs[0].glyphs
    em = 72 * MM_PER_POINT
    assert letter.x_mm - 0.5 * em < mark.x_mm < letter.x_mm + em
    font = typeface("serif")
    over, under = font.shaper.get_glyph_extents(mark.gid), font.shaper.get_glyph_extents(letter.gid)
    scale = em / font.per_em
    mark_middle = mark.x_mm + (over.x_bearing + over.width / 2) * scale
    letter_middle = letter.x_mm + (under.x_bearing + under.width / 2) * scale
    assert mark_middle == pytest.approx(letter_middle, abs=0.08 * em)
    assert mark.y_mm - (over.y_bearing + over.height) * scale < letter.y_mm - under.y_bearing * scale


@given(st.lists(st.text("abcdefghij", min_size=1, max_size=9), min_size=1, max_size=40), st.floats(6, 14))
def test_lines_hold_all_words_in_order_and_stay_clear_of_the_edges(words: list[str], size: float) -> None:
    found = placed(" ".join(words), margin_mm=5, size_pt=size)
    assert " ".join(line.text for line in found.lines).split() == words
    clear = Box(0, 0, TRIM.w, TRIM.h).shrunk(5 + SAFE_MM)
    for number, line in enumerate(found.lines):
        wide = width_mm(found, number)
        assert line.x_mm >= clear.x - 1e-5
        assert line.x_mm + wide <= clear.right + 1e-5
        assert line.x_mm + wide / 2 == pytest.approx(TRIM.w / 2)


@pytest.mark.parametrize(
    ("align", "text", "edge"),
    [("start", "left", "left"), ("end", "right", "right"), ("start", "\u0391\u03b1", "left")],
)
def test_lines_are_aligned_to_their_box(align: str, text: str, edge: str) -> None:
    found = placed(text, align=align, box_mm=(20, 30, 60, 40), size_pt=12)
    at = found.lines[0].x_mm
    if edge == "left":
        assert at == pytest.approx(20)
    else:
        assert at + width_mm(found) == pytest.approx(80)


def test_a_paragraph_from_the_right_starts_at_the_right() -> None:
    found = placed("abc def", align="start", direction="rtl", box_mm=(20, 30, 60, 40))
    assert found.lines[0].x_mm + width_mm(found) == pytest.approx(80)


def test_justified_lines_fill_the_box_but_the_last_of_a_paragraph() -> None:
    words = "as the ship went out of the harbour and the wind took hold of it they sang to one another"
    found = placed(words, align="justified", box_mm=(20, 20, 60, 80), size_pt=11, place="head")
    assert len(found.lines) > 2
    for number in range(len(found.lines) - 1):
        assert found.lines[number].x_mm == pytest.approx(20)
        assert width_mm(found, number) == pytest.approx(60, abs=1e-6)
    assert width_mm(found, len(found.lines) - 1) < 59


def test_one_line_of_capitals_stands_in_the_very_middle() -> None:
    found = placed("H", size_pt=72)
    # The Cabin font's capitals are 0.7 em high (its OS/2 table), 72 pt is 25.4 mm.
    capitals = 0.7 * 25.4
    assert found.lines[0].baseline_mm - capitals / 2 == pytest.approx(TRIM.h / 2, abs=0.3)


def test_head_and_foot_keep_the_safe_zone() -> None:
    head, foot = placed("Hg", margin_mm=3, place="head"), placed("Hg", margin_mm=3, place="foot")
    assert head.box_mm.y - TRIM.y == pytest.approx(3 + SAFE_MM)
    assert TRIM.bottom - foot.box_mm.bottom == pytest.approx(3 + SAFE_MM)


def test_leading_is_the_distance_of_baselines_in_sizes() -> None:
    first, second = placed("one\ntwo", size_pt=10, leading=2).lines
    assert second.baseline_mm - first.baseline_mm == pytest.approx(20 * MM_PER_POINT)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_turned_text_has_the_turned_panel_for_its_room(turn: int) -> None:
    found = placed("Sideways", turn=turn, place="head")
    x, y, right, bottom = found.box_mm.x, found.box_mm.y, found.box_mm.right, found.box_mm.bottom
    # The head of a text turned clockwise by 90° lies at the panel's right edge.
    to_head = {0: y - TRIM.y, 90: TRIM.right - right, 180: TRIM.bottom - bottom, 270: x - TRIM.x}[turn]
    assert to_head == pytest.approx(SAFE_MM)


def test_text_that_has_no_room_is_refused_with_a_size_that_has() -> None:
    with refused(DoesNotFit, "type.no-room-on-panel") as caught:
        placed("Congratulations", size_pt=150)
    remedy = caught.value.message.value("remedy")
    assert isinstance(remedy, Message)
    assert remedy.code == "type.try-smaller"
    placed("Congratulations", size_pt=remedy.value("size"))
    with refused(DoesNotFit, "type.no-room-in-box", panel=Message("panel.back"), room_mm=(10, 10)):
        placed("Congratulations", box_mm=(0, 0, 10, 10))


def test_an_unknown_face_names_those_there_are() -> None:
    with refused(BadRecord, "type.unknown-face-near", near="serif"):
        placed("A", face="serf")
    with refused(BadRecord, "type.unknown-face") as caught:
        placed("A", face="Heron 9")
    assert "the faces are sans, " in caught.value.fix
    assert "[[fonts]]" in caught.value.fix


def test_blank_lines_and_no_break_spaces_are_kept() -> None:
    found = placed("With love\n\n10\u00a0May")
    assert [line.text for line in found.lines] == ["With love", "", "10 May"]
    narrow = PANEL.model_copy(update={"trim": Box(0, 0, 40, 100), "printable": Box(0, 0, 40, 100)})
    found = placed("Come on the 10\u00a0May", panel=narrow, size_pt=12)
    assert [line.text for line in found.lines] == ["Come on the", "10 May"]


def test_adobe_rgb_numbers_are_of_the_same_colour() -> None:
    asked = CardText(panel="back", text="A", colour="#ff0000")
    red = place_text(asked, PANEL, 0, FONTS, "adobe-rgb").runs[0].rgb
    # sRGB's red in Adobe RGB (1998): 0.8586, 0, 0 (docs/sources.md, S68: 219, 0, 0 of 255).
    assert red == pytest.approx((219 / 255, 0, 0), abs=0.003)


def test_fonts_without_those_of_this_computer_gives_the_same_card_everywhere(tmp_path: Path) -> None:
    assert placed("Привет").runs[0].font.own
    assert place_text(CardText(panel="back", text="שלום"), PANEL, 0, Fonts(folders=(tmp_path,))).missing
