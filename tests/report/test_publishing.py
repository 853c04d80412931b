"""What is published: the page with its extras, the PDF, the short form, the catalogue; the answer for photographs."""

from __future__ import annotations

import base64
import io
import time
from dataclasses import replace
from pathlib import Path

import cv2
import html5lib
import numpy as np
import pypdfium2
import pytest
import pyvips
from lxml import html
from PIL import Image

from tackside.records import Pack, Stock
from tackside.report.entry import Entry
from tackside.report.pages.catalogue import catalogue, page_name
from tackside.report.pages.page import render_report
from tackside.report.pages.paper import render_pdf
from tackside.report.pages.short import render_short, render_short_pdf, short_view
from tackside.report.pages.summary import for_photographs
from tackside.report.pages.views import Extras
from tackside.report.prints import PrintPicture, print_picture
from tackside.report.ranking import groups_of
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tests.report.invented import NOON, PRINTER, entry, four

NASTY = '<script>alert("x")</script> #let x = [ $ * _ ` ] \\ "'


def jpeg(width: int = 595, height: int = 842) -> bytes:
    noise = np.random.default_rng(7).integers(150, 250, (height, width, 3)).astype(np.uint8)
    made = io.BytesIO()
    Image.fromarray(noise).save(made, "JPEG", quality=80)
    return made.getvalue()


@pytest.fixture(scope="module")
def extras() -> Extras:
    picture = PrintPicture(jpeg(), 210, 297)
    return Extras({one.trial.id: picture for one in four()}, data=True, licence="CC BY 4.0")


@pytest.fixture(scope="module")
def page(extras: Extras) -> str:
    return render_report(four(), extras=extras)


def valid(page: str) -> None:
    """Raise where a strict HTML parser (html5lib) finds a fault."""
    html5lib.HTMLParser(strict=True).parse(page)


def words(pdf: bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        texts = [document[number].get_textpage().get_text_range() for number in range(len(document))]
    return " ".join(" ".join(texts).split())


def test_pages_are_valid_html(page: str) -> None:
    valid(page)
    valid(render_report(four()))
    valid(render_short(entry()))
    for name, content in catalogue([entry().stock], [entry()], made_at=NOON).items():
        if name.endswith(".html"):
            valid(content.decode())


def test_pictures_are_all_at_one_scale_and_speak(page: str) -> None:
    tree = html.document_fromstring(page)
    shown = tree.xpath("//img")
    assert len(shown) == 4
    assert {each.get("style") for each in shown} == {"width:52.5mm;height:auto;aspect-ratio:52.5/74.25"}
    assert all(each.get("alt") and each.get("src").startswith("data:image/jpeg;base64,") for each in shown)


def test_the_data_and_the_licence_are_in_the_page(page: str) -> None:
    tree = html.document_fromstring(page)
    links = tree.xpath("//a[@download]")
    assert [link.get("download") for link in links][:2] == ["figures.csv", "patches.csv"]
    text = base64.b64decode(links[2].get("href").partition("base64,")[2])
    assert text.startswith(b"CGATS.17\n")
    assert "CC BY 4.0." in tree.xpath("//footer")[0].text_content()
    assert "To do it again" in tree.text_content()


def test_the_pdf_can_be_read_searched_and_holds_the_data(extras: Extras) -> None:
    pdf = render_pdf(four(), extras=extras, note="Invented for a demonstration.")
    assert pdf == render_pdf(four(), extras=extras, note="Invented for a demonstration.")
    said = words(pdf)
    for text in (
        "For photographs on the Tern 8: Harbour Satin 300 at 0.58 GBP a card.",
        "Invented for a demonstration.",
        "0.58 GBP",
        "Tern satin",
        "strike the head",
        "CC BY 4.0",
    ):
        assert text in said
    with pypdfium2.PdfDocument(pdf) as document:
        files = [document.get_attachment(n) for n in range(document.count_attachments())]
        attached = {file.get_name(): bytes(file.get_data()) for file in files}
        sizes = {document.get_page_size(n) for n in range(len(document))}
    assert {"figures.csv", "patches.csv", "hs300-t8-1.txt"} <= set(attached)
    assert attached["hs300-t8-1.txt"].startswith(b"CGATS.17\n")
    ((width, height),) = sizes
    # ISO 216: A4 is 210 × 297 mm.
    assert (width * 25.4 / 72, height * 25.4 / 72) == pytest.approx((210, 297), abs=0.1)


def test_odd_names_are_words_and_nothing_else() -> None:
    one = entry(NASTY, media=NASTY, reasons=(NASTY,))
    odd = replace(one, stock=one.stock.model_copy(update={"name": NASTY, "notes": NASTY}))
    said = words(render_pdf([odd], title=NASTY, note=NASTY, extras=Extras(licence=NASTY)))
    assert "#let x" in said
    assert "<script" not in render_report([odd], extras=Extras(data=True, licence=NASTY))
    assert "<script" not in render_short(odd)
    assert "#let x" in words(render_short_pdf(odd))


@pytest.mark.slow
def test_thirty_trials_make_a_report_in_ten_seconds_and_fifteen_megabytes() -> None:
    picture = PrintPicture(jpeg(), 210, 297)
    thirty = [entry(f"Stock {n}", trial_id=f"T{n:02}", reach=0.4 + n / 60) for n in range(30)]
    extras = Extras({one.trial.id: picture for one in thirty}, data=True)
    begun = time.process_time()
    made = render_report(thirty, extras=extras)
    pdf = render_pdf(thirty, extras=extras)
    assert time.process_time() - begun < 10  # both together
    assert len(made.encode()) < 15_000_000
    assert "Stock 29" in words(pdf)
    valid(made)


@pytest.mark.parametrize(
    ("grade", "cause", "said"),
    [
        ("sell", "none", "Yes, even for sale."),
        ("send", "none", "Yes, to give or to post."),
        ("draft", "stock", "Only for drafts."),
        ("reject", "stock", "No."),
        ("reject", "side", "Not known yet."),
    ],
)
def test_the_short_form_answers_the_question(grade: str, cause: str, said: str) -> None:
    one = entry(grade=grade, cause=cause)
    assert short_view(one).answer == said
    text = html.document_fromstring(render_short(one)).text_content()
    assert ("Print it like this" in text) == (grade in ("sell", "send")), "nobody wants a poor print again"
    assert "Can I print on Harbour Satin 300?" in text
    assert said in text
    assert "estimate" in text
    pdf = render_short_pdf(one)
    assert said in words(pdf)
    with pypdfium2.PdfDocument(pdf) as document:
        assert len(document) == 1


def priced(one: Entry, price: str, currency: str = "GBP") -> Entry:
    pack = Pack(count=10, price=price, currency=currency)
    return replace(one, stock=one.stock.model_copy(update={"pack": pack}))


def answered(*entries: Entry) -> list[str]:
    (group,) = groups_of(entries)
    return list(for_photographs(group))


def test_for_photographs_the_deepest_and_widest_is_named_and_the_cheapest_that_will_do() -> None:
    fine = priced(entry("Fine", trial_id="A", black_l=5), "10.00")
    plain = priced(entry("Plain", trial_id="B", black_l=15, reach=0.7, grade="send"), "4.00")
    assert answered(plain, fine) == [
        "For photographs on the Tern 8: Fine at 1.00 GBP a card; "
        "the cheapest that is good enough: Plain at 0.40 GBP a card."
    ]


def test_of_cards_that_measure_alike_the_cheaper_is_named() -> None:
    dear = priced(entry("Dear", trial_id="A", black_l=5.0), "10.00")
    cheap = priced(entry("Cheap", trial_id="B", black_l=5.5), "4.00")
    assert answered(dear, cheap) == [
        "For photographs on the Tern 8: Cheap at 0.40 GBP a card; "
        "Dear at 1.00 GBP a card does as well, as far as was measured."
    ]
    abroad = priced(entry("Cheap", trial_id="B", black_l=5.5), "4.00", "EUR")
    assert answered(dear, abroad)[0].startswith("For photographs on the Tern 8: Dear at 1.00 GBP a card;")


def test_where_no_card_will_do_it_is_said() -> None:
    poor = [entry(f"P{n}", trial_id=str(n), grade="draft", cause="stock") for n in range(2)]
    assert answered(*poor) == ["For photographs on the Tern 8: none of these cards."]


def test_a_catalogue_lists_every_stock_best_first_and_leads_to_its_page() -> None:
    entries = four()
    untried = entries[0].stock.model_copy(update={"name": "Never tried"})
    made = catalogue(
        [untried, *(one.stock for one in entries)], entries, made_at=NOON, extras=Extras(data=True)
    )
    tree = html.document_fromstring(made["index.html"].decode())
    names = [row.text_content() for row in tree.xpath("//tbody//th")]
    assert names == [
        "Harbour Satin 300",
        "Fulmar Etching 310",
        "Plover Matt 230",
        "Shingle Craft 250",
        "Never tried",
    ]
    linked = tree.xpath("//tbody//a/@href")
    assert linked == [page_name(name) for name in names[:4]]
    assert set(linked) | {"index.html", "style.css", "figures.csv", "patches.csv"} == set(made)
    assert 'href="style.css"' in made[linked[0]].decode()
    assert "Fulmar" not in made[linked[0]].decode()


def test_no_two_stocks_share_a_page() -> None:
    assert page_name("Card A") != page_name("card-a")
    assert "/" not in page_name("../../etc/passwd")


def test_a_print_is_shown_upright_and_cut_to_its_sheet(tmp_path: Path) -> None:
    """A sheet that lies upside down and askew on the glass comes back as it was drawn, whatever lies about it."""
    plan = plan_sheet(
        Stock(name="Harbour Satin 300", open_size_mm=(105, 148)), PRINTER, trial_id="T7K2M9AB", ppi=300
    )
    drawn = render(plan)
    turn = cv2.getRotationMatrix2D((drawn.shape[1] / 2, drawn.shape[0] / 2), 183, 1.0)
    turn[:, 2] += (420, 260)
    scan = cv2.warpAffine(
        drawn,
        turn,
        (drawn.shape[1] + 800, drawn.shape[0] + 600),
        flags=cv2.INTER_AREA,
        borderValue=(40, 40, 40),
    )
    image = pyvips.Image.new_from_memory(
        np.ascontiguousarray(scan).data, scan.shape[1], scan.shape[0], 3, "uchar"
    )
    image.copy(interpretation="srgb", xres=300 / 25.4, yres=300 / 25.4).write_to_file(
        str(tmp_path / "scan.tif")
    )
    found = print_picture(tmp_path / "scan.tif", plan, "T7K2M9AB")
    assert found is not None
    assert (found.width_mm, found.height_mm) == pytest.approx((105, 148), abs=0.2)
    shown = np.asarray(Image.open(io.BytesIO(found.jpeg)), dtype=float)
    meant = cv2.resize(drawn, shown.shape[1::-1], interpolation=cv2.INTER_AREA).astype(float)
    assert np.abs(shown - meant).mean() < 6
    for patch in plan.patches[::7]:
        x, y = (round(each * 110 / 25.4) for each in patch.box_mm.centre)
        np.testing.assert_allclose(shown[y, x] / 255, patch.rgb, atol=0.08)
    # Another trial's sheet of the same layout is no picture of this print: the whole scan is shown instead.
    other = print_picture(tmp_path / "scan.tif", plan, "ANOTHER1")
    assert other is not None
    assert other.width_mm > 150


def test_a_scan_is_shown_at_its_size(tmp_path: Path) -> None:
    black = pyvips.Image.black(2480, 3508, bands=3)
    flat = black.linear([1, 1, 1], [180, 120, 100]).cast("uchar")
    scan = flat.copy(interpretation="srgb", xres=300 / 25.4, yres=300 / 25.4)
    scan.write_to_file(str(tmp_path / "scan.tif"), compression="deflate")
    found = print_picture(tmp_path / "scan.tif")
    assert found is not None
    assert (found.width_mm, found.height_mm) == pytest.approx((210, 297), abs=0.1)
    shown = Image.open(io.BytesIO(found.jpeg))
    assert (shown.size, shown.mode) == ((909, 1286), "RGB")
    assert tuple(shown.getpixel((300, 400))) == pytest.approx((180, 120, 100), abs=3)
    scan.copy(xres=1, yres=1).write_to_file(str(tmp_path / "no-scale.tif"))
    (tmp_path / "words.tif").write_bytes(b"no picture")
    (tmp_path / "half.tif").write_bytes((tmp_path / "scan.tif").read_bytes()[:4000])
    for name in ("no-scale.tif", "words.tif", "half.tif", "nowhere.tif"):
        assert print_picture(tmp_path / name) is None


def test_no_page_of_the_pdf_is_half_empty(extras: Extras) -> None:
    with pypdfium2.PdfDocument(render_pdf(four(), extras=extras)) as document:
        for number in range(len(document) - 1):  # the last ends where the report does
            page = np.asarray(document[number].render(scale=0.5).to_pil().convert("L"))
            body = page[: int(0.93 * len(page))]  # without the foot
            assert np.flatnonzero((body < 200).any(axis=1)).max() > 0.6 * len(page), f"page {number + 1}"
