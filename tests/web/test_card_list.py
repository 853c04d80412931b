"""A card for each name of a list, in the workbench: the list taken in, any row seen, the files made."""

from __future__ import annotations

import io
import re
import zipfile

import pikepdf
import pytest

from tackside.bench.store import Bench
from tackside.card.file.design import CardCredit, CardParts, CardText
from tackside.workflow.cards.kept import kept_card
from tests.web.card_bench import finished
from tests.web.test_cards import fields_of
from tests.web.workshop import SATIN, TERN, TestClient

PAGE = "/cards/Guests/list"
GUESTS = "name;table\r\nAnn Bell;1\r\nZo\u00eb;2\r\n"


def kept(bench: Bench, credit: str) -> None:
    parts = CardParts(
        stock=SATIN.name, printer=TERN.name, credit=CardCredit(text=credit),
        texts=(CardText(panel="front", text="Dear {name}", size_pt=20, smallest_pt=8, most_lines=1),),
    )  # fmt: skip
    bench.cards.add(kept_card("Guests", parts, ()))


@pytest.fixture
def card(bench: Bench) -> None:
    kept(bench, "By hand")


def taken(client: TestClient, data: bytes) -> tuple[str, str]:
    """The page after a list was taken in, and the list's hash."""
    page = client.post(PAGE, files={"file": ("guests.csv", data, "text/csv")}, follow_redirects=True).text
    found = re.search(r'name="csv" value="([0-9a-f]{64})"', page)
    return page, found[1] if found else ""


@pytest.mark.usefixtures("card")
def test_a_list_as_spreadsheets_write_it_shows_its_rows(client: TestClient) -> None:
    page, csv = taken(client, GUESTS.encode("utf-16"))
    assert "1 Ann Bell</option>" in page
    assert "2 Zoë</option>" in page
    assert "Make 2 cards" in page
    second = client.get(f"{PAGE}?csv={csv}&name=guests.csv&row=2").text
    assert re.search(r'value="2"\s+selected', second)


@pytest.mark.usefixtures("card")
def test_all_rows_make_one_pdf_or_a_zip_of_them(client: TestClient, bench: Bench) -> None:
    _, csv = taken(client, GUESTS.encode())
    for filed in ("one", "single"):
        client.post(f"{PAGE}/make", data={"csv": csv, "name": "guests.csv", "filed": filed})
        job = finished(bench, bench.jobs.list(kind="card-list")[0])
        (file,) = (job.result or {})["files"]
        assert file in client.get(PAGE).text
        data = client.get(f"{PAGE}/made/{job.id}/{file}").content
        if filed == "one":
            with pikepdf.open(io.BytesIO(data)) as pdf:
                assert [page.label for page in pdf.pages] == ["1 Ann Bell", "2 Zoë"]
        else:
            names = zipfile.ZipFile(io.BytesIO(data)).namelist()
            assert names == ["card-001-Ann-Bell.pdf", "card-002-Zoë.pdf"]


@pytest.mark.usefixtures("card")
def test_all_faulty_rows_are_told_at_once(client: TestClient) -> None:
    _, csv = taken(client, b"name,table\nAnn,1\n,2\n,3\n")
    refused = client.post(f"{PAGE}/make", data={"csv": csv, "name": "guests.csv", "filed": "one"})
    assert "guests.csv: 2 of 3 rows cannot be made" in refused.text
    for row in (2, 3):
        assert f"Row {row}: no" in refused.text


@pytest.mark.usefixtures("card")
def test_names_without_room_and_empty_fields_are_told_together_before_the_job(
    client: TestClient, bench: Bench
) -> None:
    long = "Maximiliana Alexandrine Theodora von und zu Hohenwaldstetten-Kronberg"
    page, csv = taken(client, f"name,table\nAnn,1\n,2\n{long},3\nZo\u00eb {long},4\n".encode())
    assert "guests.csv: 3 of 4 rows cannot be made" in page
    for told in ("Row 2: no", "Row 3: line 4, column 1: the text", "Row 4: line 5, column 1: the text"):
        assert told in page
    assert "Make 4 cards" not in page
    assert "1 Ann</option>" in page  # the rows that can be made are still to be seen
    refused = client.post(f"{PAGE}/make", data={"csv": csv, "name": "guests.csv", "filed": "one"})
    assert refused.status_code == 422
    assert "Row 4: line 5, column 1: the text" in refused.text
    assert not bench.jobs.list(kind="card-list")


def test_a_templates_words_are_asked_about(client: TestClient, bench: Bench) -> None:
    kept(bench, "Your name, printed by hand")
    page, csv = taken(client, GUESTS.encode())
    assert "They are meant: print them" in page
    asked = {"csv": csv, "name": "guests.csv", "filed": "one"}
    refused = client.post(f"{PAGE}/make", data=asked)
    assert refused.status_code == 422
    assert "Your name, printed by hand" in refused.text
    assert not bench.jobs.list(kind="card-list")
    client.post(f"{PAGE}/make", data={**asked, "meant": "yes"})
    assert bench.jobs.list(kind="card-list")


@pytest.mark.usefixtures("card")
def test_what_is_no_list_is_refused_on_the_page(client: TestClient) -> None:
    page, _ = taken(client, b"PK\x03\x04\x00\x00")
    assert "guests.csv is no text that can be read as a list" in page


def test_the_files_of_one_card_are_asked_about_too(client: TestClient, bench: Bench) -> None:
    kept(bench, "Your name, printed by hand")
    edited = client.get("/cards/Guests").text
    page = client.post("/cards/Guests/make", data={**fields_of(edited), "pdf": "yes"}).text
    assert "Print the template" in page
    assert not bench.jobs.list(kind="card-files", subject="Guests")
    revision = re.search(r'name="revision" value="(\d+)"', page)
    assert revision is not None
    client.post("/cards/Guests/make-kept", data={"revision": revision[1], "pdf": "yes"})
    assert bench.jobs.list(kind="card-files", subject="Guests")
