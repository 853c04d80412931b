"""Cards in the workbench: begun, laid out, kept, made; refused beside the field, and never overwritten."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pypdfium2 as pdfium
import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.card.file.design import CardFile, load_card
from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.records import Placement, Stock
from tackside.workflow.placement import KnownPaths
from tests.web.card_bench import dropped, finished, write_picture
from tests.web.test_records import fault_beside
from tests.web.workshop import CRAFT, SATIN, TERN, TestClient, add_reading

BOATS = "/cards/Boats"


def fields_of(page: str) -> dict[str, str]:
    """The card's form as a browser without scripts would send it."""
    start = page.index('<form id="card"')
    form = re.sub(r"<template.*?</template>", "", page[start : page.index("</form>", start)], flags=re.DOTALL)
    found = dict(re.findall(r'<input[^>]* name="([^"]+)" value="([^"]*)"(?![^>]*checkbox)', form))
    for name, inner in re.findall(r'<textarea[^>]* name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.DOTALL):
        found[name] = inner
    for name, inner in re.findall(r'<select[^>]* name="([^"]+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'<option(?: value="([^"]*)")? selected>([^<]*)', inner)
        first = re.search(r'<option(?: value="([^"]*)")?>([^<]*)', inner)
        option = chosen or first
        found[name] = "" if option is None else (option[2] if option[1] is None else option[1])
    return {name: value for name, value in found.items() if name not in ("pdf", "tif", "jpg", "uncorrected")}


def test_a_card_is_begun_with_a_stock_and_a_printer(client: TestClient, bench: Bench) -> None:
    answer = client.post(
        "/make/card", data={"name": "Fair", "stock": SATIN.name, "printer": TERN.name, "fold": "left"}
    )
    assert answer.headers["location"] == "/cards/Fair"
    kept = bench.cards.get("Fair")
    assert (kept.stock, kept.printer) == (SATIN.name, TERN.name)
    page = client.get("/cards/Fair").text
    for panel in ("front", "back", "inside left", "inside right"):
        assert panel in page


def test_a_format_becomes_a_stock_of_its_name(client: TestClient, bench: Bench) -> None:
    typed = {"stock": "", "format": "A5 folded to A6", "printer": TERN.name}
    assert client.post("/make/card", data=typed).headers["location"] == "/cards/Card%202"
    stock = bench.stocks.get("A5 folded to A6")
    # ISO 216: A5 is 148 × 210 mm, A6 half of it.
    assert stock.open_size_mm == (210, 148)
    assert [(crease.direction, crease.at_mm) for crease in stock.creases] == [("vertical", 105)]
    client.post("/make/card", data=typed)
    assert bench.stocks.revision("A5 folded to A6") == 1


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"stock": "", "printer": TERN.name}, "stock", "no card was chosen"),
        ({"stock": SATIN.name, "printer": ""}, "printer", "no printer was chosen"),
        ({"stock": "Harbor Satin", "printer": TERN.name}, "stock", "did you mean"),
        (
            {"name": "Boats", "stock": SATIN.name, "printer": TERN.name},
            "name",
            "there is a card 'Boats' already",
        ),
        ({"name": "x" * 90, "stock": SATIN.name, "printer": TERN.name}, "name", "too long"),
    ],
)
def test_what_cannot_be_begun_is_told_beside_its_field(
    client: TestClient, typed: dict[str, str], field: str, words: str
) -> None:
    answer = client.post("/make/card", data=typed)
    assert answer.status_code in (409, 422)
    assert words in fault_beside(answer.text, field)


def test_a_first_picture_is_looked_at_and_laid_on_the_front(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    picture = write_picture(tmp_path)
    with picture.open("rb") as stream:
        answer = client.post(
            "/make/card",
            data={"csrf": _token(client), "name": "Fair", "stock": SATIN.name, "printer": TERN.name},
            files={"file": (picture.name, stream, "image/png")},
        )
    waiting = answer.headers["location"]
    assert "Waiting for its turn" in client.get(waiting).text
    finished(bench, bench.jobs.list(kind="card-picture")[0])
    laid = client.get(waiting).headers["location"]
    page = client.get(laid).text
    assert "The picture is laid on the card" in page
    shown = re.search(r'<image href="([^"]+)"', page)
    assert shown is not None
    small = pyvips.Image.new_from_buffer(client.get(shown[1]).content, "")
    assert (small.width, small.height) == (900, 600)
    assert fields_of(page)["p0_panel"] == "front"


def test_a_picture_that_is_none_is_refused_by_the_job_in_its_own_words(bench: Bench, tmp_path: Path) -> None:
    file = tmp_path / ["../../etc", "boats.jpg"][-1]
    file.write_bytes(b"not a picture")
    with pytest.raises(BadImage) as caught:
        dropped(bench, "Boats", file)
    assert caught.value.message == Message("picture.unknown-kind", file="boats.jpg")


def test_what_stands_in_the_form_is_kept_as_a_card_file(client: TestClient, bench: Bench) -> None:
    typed = fields_of(client.get(BOATS).text) | {
        "p0_lay": "placed", "p0_x": "-10,5", "p0_y": "4", "p0_w": "180", "p0_border": "5",
        "t0_text": "Dear friends,\r\ncome and see", "t0_size": "11.5", "t0_face": "serif-italic",
        "t1_text": "Printed here", "t1_panel": "back", "t1_size": "8", "t1_x": "12", "t1_y": "80", "t1_w": "60",
        "t1_h": "12",
    }  # fmt: skip
    assert client.post(BOATS, data=typed).headers["location"] == f"{BOATS}?kept=3"
    card = CardFile.model_validate(tomllib.loads(bench.cards.get("Boats").toml))
    assert card.pictures[0].placed_mm == (-10.5, 4, 180)
    assert card.pictures[0].border_mm == 5
    assert card.texts[0].text == "Dear friends,\ncome and see"
    assert (card.texts[0].size_pt, card.texts[0].face) == (11.5, "serif-italic")
    assert card.texts[1].box_mm == (12, 80, 60, 12)
    assert card.credit is not None
    page = client.get(f"{BOATS}?kept=3").text
    assert "Kept as revision 3" in page
    assert fields_of(page)["p0_x"] == "-10.5"


def test_the_form_keeps_what_it_does_not_show(client: TestClient, bench: Bench) -> None:
    kept = bench.cards.get("Boats")
    toml = kept.toml.replace("[[texts]]", '[[texts]]\nleading = 1.8\nlanguage = "en"').replace(
        "[[pictures]]", "[[pictures]]\nfocus = [0.2, 0.9]"
    )
    bench.cards.add(kept.model_copy(update={"toml": f"ticks = true\ncut_to_mm = [170, 110]\n{toml}"}))
    typed = fields_of(client.get(BOATS).text) | {"t0_size": "12"}
    client.post(BOATS, data=typed)
    card = CardFile.model_validate(tomllib.loads(bench.cards.get("Boats").toml))
    assert (card.ticks, card.cut_to_mm) == (True, (170, 110))
    assert card.pictures[0].focus == (0.2, 0.9)
    assert (card.texts[0].leading, card.texts[0].language, card.texts[0].size_pt) == (1.8, "en", 12)


def test_the_kept_file_is_what_the_command_line_reads(client: TestClient, tmp_path: Path) -> None:
    answer = client.get(f"{BOATS}/card.toml")
    assert 'filename="boats.toml"' in answer.headers["content-disposition"]
    (tmp_path / "card.toml").write_bytes(answer.content)
    write_picture(tmp_path)
    card = load_card(tmp_path / "card.toml")
    assert card.pictures[0].file == "boats at noon.png"


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("p0_border", "wide", "Border: “wide” is not a number"),
        ("p0_border", "-3", "at least 0"),
        ("p0_image", "0" * 64, "no such picture"),
        ("t0_size", "2", "at least 3"),
        ("t0_w", "0", "more than 0"),
        ("t0_colour", "red", "“red” is not a colour"),
        ("p0_turn", "45", "“45” is not among the choices"),
        ("background", "beige", "“beige” is not a colour"),
    ],
)
def test_a_wrong_value_is_told_beside_its_field_and_stays_typed(
    client: TestClient, bench: Bench, field: str, value: str, words: str
) -> None:
    typed = fields_of(client.get(BOATS).text) | {field: value}
    if field == "t0_w":
        typed |= {"t0_x": "1", "t0_y": "1", "t0_h": "10"}
    answer = client.post(BOATS, data=typed)
    assert answer.status_code == 422
    assert words in fault_beside(answer.text, field)
    if field != "p0_image":
        assert value in fields_of(answer.text)[field]
    assert bench.cards.revision("Boats") == 2


def test_two_tabs_are_told_and_nothing_is_overwritten(client: TestClient, bench: Bench) -> None:
    typed = fields_of(client.get(BOATS).text)
    client.post(BOATS, data=typed | {"t0_text": "The first tab"})
    answer = client.post(BOATS, data=typed | {"t0_text": "The second tab"})
    assert answer.status_code == 409
    assert "changed elsewhere meanwhile" in answer.text
    assert fields_of(answer.text)["t0_text"] == "The second tab"
    assert "The first tab" in bench.cards.get("Boats").toml
    again = client.post(BOATS, data=fields_of(answer.text))  # saved knowingly, it holds
    assert again.status_code == 303
    assert "The second tab" in bench.cards.get("Boats").toml


def test_an_earlier_revision_comes_back(client: TestClient, bench: Bench) -> None:
    typed = fields_of(client.get(BOATS).text) | {"t0_text": "Another"}
    client.post(BOATS, data=typed)
    client.post(f"{BOATS}/bring-back", data={"revision": "2", "after": "3"})
    assert "With love" in bench.cards.get("Boats").toml
    assert len(bench.cards.history("Boats")) == 4


def test_remarks_stand_beside_what_they_concern(client: TestClient) -> None:
    typed = fields_of(client.get(BOATS).text) | {"p0_lay": "placed", "p0_x": "0", "p0_y": "0", "p0_w": "400"}
    typed |= {"t0_x": "1", "t0_y": "10", "t0_w": "80", "t0_h": "30", "t0_align": "start"}
    answer = client.post(f"{BOATS}/check", data=typed, headers={"hx-request": "true"})
    assert answer.status_code == 200
    remarks = dict(re.findall(r'<ul data-of="(\w+)" class="remarks">(.*?)</ul>', answer.text, re.DOTALL))
    # 900 pixels in 400 mm are 57 an inch.
    assert "has 57 pixels an inch" in remarks["p0"]
    assert "from the crease" in remarks["t0"]
    assert "pixels an inch" not in remarks["t0"]


def test_what_has_no_room_is_told_beside_it_while_the_rest_is_drawn(client: TestClient) -> None:
    typed = fields_of(client.get(BOATS).text) | {"t0_size": "150"}
    page = client.post(f"{BOATS}/check", data=typed, headers={"hx-request": "true"}).text
    assert re.search(r'data-of="t0" class="remarks bad"><li>The text .* has room for', page)
    assert 'data-part="p0"' in page
    assert 'data-part="t0"' not in page


def test_the_check_keeps_nothing(client: TestClient, bench: Bench) -> None:
    typed = fields_of(client.get(BOATS).text) | {"t0_text": "Only looked at"}
    client.post(f"{BOATS}/check", data=typed, headers={"hx-request": "true"})
    assert bench.cards.revision("Boats") == 2


def test_files_are_kept_made_and_handed_out(client: TestClient, bench: Bench) -> None:
    typed = fields_of(client.get(BOATS).text) | {"pdf": "yes", "jpg": "yes", "t0_text": "Now"}
    answer = client.post(f"{BOATS}/make", data=typed)
    assert answer.headers["location"] == f"{BOATS}/print"
    assert "Waiting for its turn" in client.get(f"{BOATS}/print").text
    job = finished(bench, bench.jobs.list(kind="card-files")[0])
    page = client.get(f"{BOATS}/print").text
    assert "Page size" in page
    assert "put the sheet back for its second side" in page
    for name in ("card.pdf", "card.jpg", "card-inside.jpg"):
        assert f"{BOATS}/made/{job.id}/{name}" in page
    pdf = client.get(f"{BOATS}/made/{job.id}/card.pdf")
    assert pdf.headers["content-type"] == "application/pdf"
    document = pdfium.PdfDocument(pdf.content)
    assert len(document) == 2
    width, height = document[0].get_size()
    assert (width * 25.4 / 72, height * 25.4 / 72) == pytest.approx(SATIN.open_size_mm, abs=0.02)
    jpeg = pyvips.Image.new_from_buffer(client.get(f"{BOATS}/made/{job.id}/card.jpg").content, "")
    assert (jpeg.width, jpeg.height) == (round(180 * TERN.grid_ppi / 25.4), round(120 * TERN.grid_ppi / 25.4))
    assert client.get(f"{BOATS}/made/{job.id}/folded.png").headers["content-type"] == "image/png"
    assert client.get(f"{BOATS}/made/{job.id}/card.tif").status_code == 404


def test_an_empty_card_is_not_made_and_says_so_as_the_command_line_does(client: TestClient) -> None:
    client.post("/make/card", data={"name": "Bare", "stock": SATIN.name, "printer": TERN.name})
    answer = client.post("/cards/Bare/make", data=fields_of(client.get("/cards/Bare").text))
    assert answer.status_code == 422
    assert "the card holds neither a picture nor a text" in answer.text


def test_a_card_with_a_part_that_cannot_stand_is_not_made(client: TestClient, bench: Bench) -> None:
    typed = fields_of(client.get(BOATS).text) | {"t0_size": "150"}
    answer = client.post(f"{BOATS}/make", data=typed)
    assert answer.status_code == 422
    assert "has room for" in fault_beside(answer.text, "t0_text")
    assert bench.cards.revision("Boats") == 2


def test_a_border_without_room_is_told_beside_the_border(client: TestClient) -> None:
    typed = fields_of(client.get(BOATS).text) | {"p0_lay": "fill", "p0_border": "80"}
    answer = client.post(f"{BOATS}/make", data=typed)
    assert answer.status_code == 422
    assert "a border of 80 mm leaves no room" in fault_beside(answer.text, "p0_border")


def test_a_sheet_that_no_feed_takes_is_told_beside_the_printer(client: TestClient, bench: Bench) -> None:
    bench.stocks.add(Stock(name="Skerry Board", open_size_mm=(180, 120), caliper_mm=1.4))
    typed = fields_of(client.get(BOATS).text) | {"stock": "Skerry Board", "t0_text": "", "p0_panel": "front"}
    answer = client.post(f"{BOATS}/make", data=typed)
    assert answer.status_code == 422
    assert "0.6 mm" in fault_beside(answer.text, "printer")


def test_a_panel_that_another_stock_lacks_is_told(client: TestClient) -> None:
    typed = fields_of(client.get(BOATS).text) | {"stock": "Shingle Craft 250"}
    client.post(BOATS, data=typed)
    page = client.get(BOATS).text
    assert "names a panel &#34;inside-right&#34;, which Shingle Craft 250 does not have" in page
    assert fields_of(page)["t0_panel"] == "inside-right"  # and it is not moved elsewhere by itself
    assert client.post(f"{BOATS}/make", data=fields_of(page)).status_code == 422


@pytest.mark.parametrize(
    ("size_mm", "creases", "panels", "held"),
    [
        ((105, 148), (), {"front", "back"}, ["front", "back"]),
        (
            (296, 148),
            ((74, "in"), (222, "in")),
            {"front-left", "inside-middle"},
            ["front", "front", "inside", "back"],
        ),
        (
            (300, 148),
            ((100, "out"), (200, "in")),
            {"outside-middle", "inside-middle"},
            ["front", "inside", "back"],
        ),
        ((299, 148), ((99, "in"), (199, "in")), {"flap", "inside-middle"}, ["front", "inside", "back"]),
    ],
)
def test_every_kind_of_fold_is_drawn(
    client: TestClient, bench: Bench, size_mm: tuple[float, float], creases: tuple[tuple[float, str], ...],
    panels: set[str], held: list[str],
) -> None:  # fmt: skip
    given = [{"direction": "vertical", "at_mm": at, "folds": folds} for at, folds in creases]
    bench.stocks.add(Stock.model_validate({"name": "Folded", "open_size_mm": size_mm, "creases": given}))
    begun = client.post("/make/card", data={"stock": "Folded", "printer": TERN.name})
    page = client.get(begun.headers["location"]).text
    assert panels <= set(re.findall(r'data-panel="([^"]+)"', page))
    assert re.findall(r'data-held="([^"]+)"', page) == held


def test_a_quarter_fold_shows_its_inside_and_hides_what_nobody_sees(client: TestClient, bench: Bench) -> None:
    creases = [{"direction": "vertical", "at_mm": 105}, {"direction": "horizontal", "at_mm": 148.5}]
    bench.stocks.add(
        Stock.model_validate({"name": "Quartered", "open_size_mm": (210, 297), "creases": creases})
    )
    begun = client.post("/make/card", data={"stock": "Quartered", "printer": TERN.name})
    page = client.get(begun.headers["location"]).text
    assert re.findall(r'data-held="([^"]+)"', page) == ["front", "inside", "back"]
    assert 'value="inside-left"' in page
    assert 'value="hidden-1"' not in page


def test_what_is_known_of_the_print_follows_each_reading(bench: Bench) -> None:
    stock, printer = bench.stocks.get(SATIN.name), bench.printers.get(TERN.name)
    paths = KnownPaths(bench)
    assert paths.of(stock, printer).placements == {}
    (first, second) = bench.trials.list(stock=SATIN.name)[:2]
    for trial, offset in ((first, 0.4), (second, 0.8)):
        placement = Placement(
            scale_x=1, scale_y=1, rotation_deg=0, skew_deg=0, offset_mm=(offset, 0), residual_um=9, marks_found=4
        )  # fmt: skip
        add_reading(bench, trial, 9.0, placement=placement)
        front = paths.of(stock, printer).placements["front"]
        assert front.trials[-1] == trial.id
    assert front.offset_mm[0] == pytest.approx(0.6)
    assert paths.of(bench.stocks.get(CRAFT.name), printer).placements == {}


def test_cards_are_found_sorted_and_put_away(client: TestClient, bench: Bench) -> None:
    client.post(
        "/make/card", data={"name": "Autumn fair", "stock": "Shingle Craft 250", "printer": TERN.name}
    )

    def names(query: str) -> list[str]:
        page = client.get(f"/cards?{query}", headers={"hx-request": "true"}).text
        return re.findall(r"<strong>(.*?)</strong>", page)

    assert names("") == ["Autumn fair", "Boats"]
    assert names("sort=oldest") == ["Boats", "Autumn fair"]
    assert names("q=shingle") == ["Autumn fair"]
    assert names("q=boats+satin") == ["Boats"]
    client.post(f"{BOATS}/archive", data={"archived": "yes"})
    assert names("") == ["Autumn fair"]
    assert names("away=yes") == ["Boats"]
    assert "put away" in client.get(BOATS).text
    client.post(f"{BOATS}/archive", data={"archived": "no"})
    assert "Boats" in names("")


def test_a_thumbnail_shows_the_front_and_needs_nothing_else(client: TestClient) -> None:
    answer = client.get(f"{BOATS}/thumbnail")
    assert answer.headers["content-type"] == "image/svg+xml"
    assert "data:image/jpeg;base64," in answer.text
    drawn = pyvips.Image.svgload_buffer(answer.content).flatten(background=[0, 0, 0])
    assert drawn.width / drawn.height == pytest.approx(90 / 120, rel=0.02)
    # The picture fills the front, so a quarter of its colours stands in each corner of it.
    red, blue = drawn(8, 8), drawn(8, drawn.height - 8)
    assert red[0] > 150 > red[2]
    assert blue[2] > 130 > blue[0]


def test_only_a_cards_own_pictures_and_files_are_shown(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    other = bench.keep_file(write_picture(tmp_path, "other.png"), "other.png")
    job = bench.jobs.list(kind="card-files")[0]
    client.post("/make/card", data={"name": "Bare", "stock": SATIN.name, "printer": TERN.name})
    for address in (
        f"{BOATS}/shown/{other}.jpg", f"/cards/Bare/made/{job.id}/card.pdf", f"{BOATS}/made/{job.id}/other.pdf",
        f"/cards/Bare/pictures/{job.id}", "/cards/Nobody", "/cards/Nobody/print", f"{BOATS}/made/nothing/card.pdf",
    ):  # fmt: skip
        assert client.get(address).status_code == 404, address


def test_a_card_is_told_in_german(client: TestClient) -> None:
    page = client.get(BOATS, headers={"accept-language": "de"}).text
    assert "Dateien erstellen" in page
    assert "Bild boats at noon.png auf: vorn" in page or "Bild boats at noon.png auf: " in page


def _token(client: TestClient) -> str:
    return str(client.headers["x-csrf-token"])
