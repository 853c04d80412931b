"""What several prints say together, as a part of the comparison and as a page of its own."""

from __future__ import annotations

import pytest

from tackside.bench.store import Bench
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.records import Settings
from tests.verdict.printed import printed
from tests.web.workshop import SATIN, TestClient, add_trial, add_verdict

MODELS: tuple[StockModel, ...] = (semi_gloss(), cotton_etching(), matt_coated(), craft_card())
PHOTO = Settings(media_setting="Photo satin")


def add_print(bench: Bench, number: int, printer: PrinterModel, settings: Settings = PHOTO) -> str:
    """A trial of an invented card, printed, read and judged by itself."""
    stock = SATIN.model_copy(update={"name": f"Invented card {number}", "coated": "unknown"})
    bench.stocks.add(stock)
    trial = add_trial(bench, stock, settings=settings)
    reading = printed(trial, MODELS[number % 4], printer, seed=number + 1)
    add_verdict(bench, trial, bench.readings.add(reading.model_copy(update={"trial": trial.id})))
    return trial.id


@pytest.fixture
def prints(bench: Bench) -> list[str]:
    twice = PrinterModel(managed="twice")
    return [
        *(add_print(bench, number, twice) for number in range(4)),
        add_print(bench, 4, twice, Settings(media_setting="Matt")),
    ]


def address(prints: list[str], page: str = "/compare/together") -> str:
    return f"{page}?{'&'.join(f'trial={each}' for each in prints)}"


def test_the_fault_the_evidence_and_the_cards_are_told(client: TestClient, prints: list[str]) -> None:
    page = client.get(address(prints))
    assert page.status_code == 200
    assert "One fault lies behind these 4 prints: colour managed twice" in page.text
    assert "Printed on Tern 8; the media setting: Photo satin." in page.text
    assert "Holds no ink well" in page.text
    assert "speaks for it" in page.text
    assert "the media setting (Matt here, Photo satin there)" in page.text
    for each in prints:
        assert f'href="/trials/{each}"' in page.text


def test_looking_keeps_nothing(client: TestClient, bench: Bench, prints: list[str]) -> None:
    client.get(address(prints))
    assert [len(bench.verdicts.list(each)) for each in prints] == [1] * 5


def test_the_comparison_asks_for_it_and_has_a_link_without_scripts(
    client: TestClient, prints: list[str]
) -> None:
    page = client.get(address(prints, "/compare")).text
    link = address(prints).replace("&", "&amp;")
    assert f'hx-get="{link}"' in page
    assert f'href="{link}"' in page
    part = client.get(address(prints), headers={"hx-request": "true"}).text
    assert "<html" not in part
    assert "One fault lies behind these 4 prints" in part


def test_it_is_told_in_german(client: TestClient, prints: list[str]) -> None:
    client.cookies.set("tackside_language", "de")
    page = client.get(address(prints)).text
    assert "Hinter diesen 4 Drucken steht ein einziger Fehler" in page
    assert "One fault" not in page
    assert "Holds no ink" not in page


def test_a_trial_that_is_not_there_is_not_found(client: TestClient, prints: list[str]) -> None:
    assert client.get(address([prints[0], "NOWHERE1"])).status_code == 404
