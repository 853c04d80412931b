"""Text on panels: every character accounted for, lines broken and centred, never off the panel."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from tackside.card.design import CardText
from tackside.card.texts import SAFE_MM, place_text
from tackside.card.typeface import typeface
from tackside.errors import DoesNotFit
from tackside.fit import Panel
from tackside.sheet.text import FACES
from tackside.units import MM_PER_POINT, Box

TRIM = Box(0, 148.5, 210, 148.5)
PANEL = Panel(name="back", trim=TRIM, printable=TRIM, turn_deg=0)


@pytest.mark.parametrize("face", ["sans", "serif"])
def test_widths_are_freetypes(face: str) -> None:
    """Against FreeType (through Pillow) at one pixel a font unit, one character at a time."""
    font = typeface(face)
    from importlib import resources

    file = resources.files("tackside.sheet") / "fonts" / FACES[face]
    with file.open("rb") as stream:
        reference = ImageFont.truetype(stream, font.per_em, layout_engine=ImageFont.Layout.BASIC)
        for character in "AgÖ é&—fi0,“”":
            assert font.width_em(character) * font.per_em == pytest.approx(
                reference.getlength(character), abs=1
            )


def test_pairs_are_kerned() -> None:
    font = typeface("sans")
    assert font.width_em("AV") < font.width_em("A") + font.width_em("V") - 0.02


def test_a_missing_character_is_named_with_its_place() -> None:
    with pytest.raises(DoesNotFit, match=r'lacks: "漢" \(cjk unified ideograph-6f22\), number 7'):
        place_text(CardText(panel="back", text="Hello 漢"), PANEL, 0)


def test_decomposed_letters_find_their_composed_glyph() -> None:
    placed = place_text(CardText(panel="back", text="Noe\u0308l"), PANEL, 0)
    assert placed.lines[0].text == "Noël"


@given(st.lists(st.text("abcdefghij", min_size=1, max_size=9), min_size=1, max_size=40), st.floats(6, 14))
def test_lines_hold_all_words_in_order_and_stay_clear_of_the_edges(words: list[str], size: float) -> None:
    placed = place_text(CardText(panel="back", text=" ".join(words), size_pt=size), PANEL, margin_mm=5)
    assert " ".join(line.text for line in placed.lines).split() == words
    clear = Box(0, 0, TRIM.w, TRIM.h).shrunk(5 + SAFE_MM)
    for line in placed.lines:
        wide = placed.font.width_em(line.text) * size * MM_PER_POINT
        assert line.x_mm >= clear.x - 1e-6
        assert line.x_mm + wide <= clear.right + 1e-6
        assert line.x_mm + wide / 2 == pytest.approx(TRIM.w / 2)


def test_one_line_of_capitals_stands_in_the_very_middle() -> None:
    placed = place_text(CardText(panel="back", text="H", size_pt=72), PANEL, 0)
    # The Cabin font's capitals are 0.7 em high (its OS/2 table), 72 pt is 25.4 mm.
    capitals = 0.7 * 25.4
    assert placed.lines[0].baseline_mm - capitals / 2 == pytest.approx(TRIM.h / 2, abs=0.3)


def test_head_and_foot_keep_the_safe_zone() -> None:
    head = place_text(CardText(panel="back", text="Hg", place="head"), PANEL, 3)
    foot = place_text(CardText(panel="back", text="Hg", place="foot"), PANEL, 3)
    assert head.box_mm.y - TRIM.y == pytest.approx(3 + SAFE_MM)
    assert TRIM.bottom - foot.box_mm.bottom == pytest.approx(3 + SAFE_MM)


def test_text_that_has_no_room_is_refused_with_a_size_that_has() -> None:
    asked = CardText(panel="back", text="Congratulations", size_pt=150)
    with pytest.raises(DoesNotFit, match=r"try size_pt = ([\d.]+)") as refused:
        place_text(asked, PANEL, 0)
    size = float(refused.value.mend.split("=")[1].split(",")[0])
    place_text(asked.model_copy(update={"size_pt": size}), PANEL, 0)


def test_blank_lines_and_no_break_spaces_are_kept() -> None:
    placed = place_text(CardText(panel="back", text="With love\n\n10\u00a0May"), PANEL, 0)
    assert [line.text for line in placed.lines] == ["With love", "", "10 May"]
    narrow = PANEL.model_copy(update={"trim": Box(0, 0, 40, 100), "printable": Box(0, 0, 40, 100)})
    placed = place_text(CardText(panel="back", text="Come on the 10\u00a0May", size_pt=12), narrow, 0)
    assert [line.text for line in placed.lines] == ["Come on the", "10 May"]
