"""Pick list, labels and instruction cards: readable, exact, the same every time."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from tackside.cautions import BLADES, DAMP_FINGERS, HEAD_STRIKE, SMALL_PARTS
from tackside.errors import BadRecord
from tackside.messages.message import Message
from tackside.messages.wording import Wording
from tackside.records.load import load_printer, load_stock
from tackside.run.papers import papers
from tackside.run.papers.paper_fonts import fonts_for
from tackside.run.plan.plan import RunPlan
from tackside.run.plan.run_file import LabelSheet
from tests.card.fonts import DEJAVU, needs_dejavu, write_moved
from tests.cli.bench_of_examples import SATIN, TERN
from tests.refusals import refused
from tests.run.invented import card, plan, run

MM_PER_POINT = 25.4 / 72


def text_of(pdf: bytes) -> list[str]:
    return [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(pdf)]


@pytest.fixture
def two() -> RunPlan:
    return plan(
        run(card("Boats", 20), card("Gulls", 10, setting="matt, high"), calendar={"start": "2026-05-04"})
    )


def test_the_pick_list_names_what_to_fetch_and_print(two: RunPlan) -> None:
    (page,) = text_of(papers.pick_list(two))
    for said in (
        "Harbour fair",
        "Harbour Satin 300",
        "2 × 25",
        "Boats",
        "Gulls",
        "matt, high",
        "spoiled",
        *map(str, (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS)),
    ):
        assert said in page


def test_the_pick_list_names_the_rows_of_a_list(two: RunPlan) -> None:
    batch = two.batches[0]
    names = tuple(f"Guest {number}" for number in range(1, 41))
    named = replace(batch, lines=(replace(batch.lines[0], names=names), *batch.lines[1:]))
    pages = " ".join(text_of(papers.pick_list(replace(two, batches=(named, *two.batches[1:])))))
    assert "Boats, in this order" in pages
    assert all(f"{number} Guest {number}" in pages for number in range(1, 41))


def test_instructions_say_which_face_takes_the_outside(two: RunPlan) -> None:
    batch, printer = two.batches[0], load_printer(TERN)
    stock = load_stock(SATIN).model_copy(update={"coated": "back"})
    turned = replace(batch, lines=tuple(replace(line, outside_on="back") for line in batch.lines))
    load = dict(papers.instruction(turned, stock, printer)["lines"])["Load"]
    assert load.startswith("print the outside on the back of the stock, the coated face")


def test_the_same_plan_gives_the_same_bytes(two: RunPlan) -> None:
    assert papers.pick_list(two) == papers.pick_list(two)
    texts = papers.label_texts(two)
    assert papers.labels(two, texts) == papers.labels(two, texts)


def test_a_label_for_each_card_with_its_price(two: RunPlan) -> None:
    texts = papers.label_texts(two)
    boats, gulls = two.cards
    assert (
        texts == [["Boats", f"{boats.price.retail} GBP"]] * 20 + [["Gulls", f"{gulls.price.retail} GBP"]] * 10
    )
    pages = text_of(papers.labels(two, texts))
    assert len(pages) == 2  # 24 on a sheet
    assert pages[0].count("Boats") == 20
    assert pages[1].count("Gulls") == 6


def test_labels_stand_where_the_sheet_has_them() -> None:
    sheet = LabelSheet(columns=2, rows=3, size_mm=(90, 50), margin_mm=(10, 20), pitch_mm=(100, 60))
    told = plan(run(card("Boats", 6), labels=sheet.model_dump()))
    page = pypdfium2.PdfDocument(papers.labels(told, [[f"N{number}"] for number in range(6)]))[0]
    text, height = page.get_textpage(), page.get_height()
    found = {}
    for number in range(6):
        index = text.get_text_range().index(f"N{number}")
        # Character indices of pdfium count every character of the page, line ends included.
        left, bottom, _, top = text.get_charbox(index)
        found[number] = (left * MM_PER_POINT, (height - (top + bottom) / 2) * MM_PER_POINT)
    for number, (x, y) in found.items():
        column, row = number % 2, number // 2
        assert x == pytest.approx(10 + column * 100 + 3, abs=1.0)  # 3 mm inside the label
        assert y == pytest.approx(20 + row * 60 + 25, abs=1.5)  # half-way down it


def test_labels_of_a_list_hold_its_words_and_refuse_what_it_lacks() -> None:
    rows = ({"name": "Ada {Lane}", "town": "Port"}, {"name": "Bo", "town": "Quay"})
    asked = card("Boats", 2, label="{name}\n{town}, {card}")
    told = plan(run(asked), recipients=rows)
    assert papers.label_texts(told) == [["Ada {Lane}", "Port, Boats"], ["Bo", "Quay, Boats"]]
    told = plan(run(card("Boats", 2, label="{street}")), recipients=rows)
    with refused(BadRecord, "paper.label-asks", name="street"):
        papers.label_texts(told)


def test_words_are_words_and_never_markup() -> None:
    told = plan(run(card("Boats", 1)))
    (page,) = text_of(papers.labels(told, [['#panic("x") $ *bold* \\ "quoted"']]))
    assert '#panic("x") $ *bold*' in page


def test_letters_beyond_the_shipped_fonts_are_told_with_the_fix(tmp_path: Path) -> None:
    """漢 stands in no font at hand; 語 in one that the run names, made for this test."""
    told = plan(run(card("Boats", 1)))
    write_moved(tmp_path / "own.ttf", {ord("語"): ord("x")})
    texts = [["Ada", "漢", "語"]]
    own = told.run.model_copy(
        update={"folder": tmp_path, "labels": told.run.labels.model_copy(update={"fonts": ("own.ttf",)})}
    )
    with_font = replace(told, run=own)
    fonts = fonts_for([line for lines in texts for line in lines], [tmp_path / "own.ttf"], folders=())
    (said,) = fonts.warnings
    letter = Message("paper.letter", letter="漢", name="CJK UNIFIED IDEOGRAPH-6F22", number="6F22")
    assert said == Message("paper.lacking", letters=[letter])
    assert 'fonts = ["FILE.ttf"] under [labels]' in str(said)
    assert "[labels]" not in Wording(where="page").text(said)
    page = pypdfium2.PdfDocument(papers.labels(with_font, texts, fonts))[0]
    assert "語" in page.get_textpage().get_text_range()
    assert fonts_for(["Ada", "Ελλάδα", "Привет"], folders=()).warnings == ()


@needs_dejavu
def test_letters_of_this_computers_fonts_are_set_in_them_and_told() -> None:
    told = plan(run(card("Boats", 1)))
    fonts = fonts_for(["שלום"], folders=(DEJAVU.parent,))
    (said,) = fonts.warnings
    assert (said.code, said.value("family")) == ("paper.borrowed", "DejaVu Sans")
    pdf = pikepdf.open(io.BytesIO(papers.labels(told, [["Ada", "שלום"]], fonts)))
    names = {str(font.BaseFont) for font in pdf.pages[0].Resources.Font.values()}
    assert any("DejaVu" in name for name in names)


@pytest.mark.parametrize(
    ("sheet", "said"),
    [
        ({"columns": 4}, "run.labels-too-wide"),
        ({"rows": 9}, "run.labels-too-high"),
        ({"pitch_mm": (60, 37)}, "run.labels-overlap-across"),
    ],
)
def test_label_sheets_that_cannot_be_are_refused(sheet: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        LabelSheet.model_validate(sheet)


def test_the_instruction_card_says_what_to_enter(two: RunPlan) -> None:
    cards = [papers.instruction(batch, load_stock(SATIN), load_printer(TERN)) for batch in two.batches]
    text = papers.instructions_text(cards)
    for said in (
        "rear",
        "A4",
        "100 %",
        "never by both",
        "matt, high",
        "Gulls: 10",
        str(HEAD_STRIKE),
        str(DAMP_FINGERS),
    ):
        assert said in text
    pages = text_of(papers.instructions_pdf("Harbour fair", cards))
    assert len(pages) == 2
    assert "matt, high" in pages[1]
    for page in pages:
        assert str(HEAD_STRIKE) in page
        assert str(DAMP_FINGERS) in page


def test_the_cautions_on_paper_can_be_read_at_arms_length(two: RunPlan) -> None:
    """Nine points and more (our own choice): no small print at the foot of the page."""
    cards = [papers.instruction(batch, load_stock(SATIN), load_printer(TERN)) for batch in two.batches]
    sheets = (papers.pick_list(two), papers.instructions_pdf("Harbour fair", cards))
    for pdf in sheets:
        page = pypdfium2.PdfDocument(pdf)[0]
        text = page.get_textpage()
        found = text.search("Keep damp fingers", match_case=True).get_next()
        assert found is not None
        assert pypdfium2.raw.FPDFText_GetFontSize(text, found[0]) >= 9
