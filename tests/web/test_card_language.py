"""What is said of a card that is being made, on a page in German: no English but names and what was typed."""

from __future__ import annotations

import html
import re

import pytest

from tackside.bench.store import Bench
from tackside.messages.catalogue import Plural, all_entries, strings_in
from tests.web.card_bench import finished
from tests.web.test_cards import BOATS, fields_of
from tests.web.workshop import TestClient

LIVE = {"hx-request": "true"}
# A fragment of a text between its values that is at least so long is surely that text's own.
LONG = 14


def english_in(page: str) -> set[str]:
    """The codes of messages that the page says in English."""
    said = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
    return {
        code
        for code, entry in all_entries()
        for text in strings_in(entry)
        for one in ((text.one, text.many) if isinstance(text, Plural) else (text,))
        if any(part.strip() in said for part in re.split(r"\{[^}]*\}", one) if len(part.strip()) >= LONG)
    }


WANTED = {
    "de": {"p0": "Pixel je Zoll", "t0": "vom Falz", "t1": "hat Platz für"},
    "fr": {"p0": "pixels par pouce", "t0": "du pli", "t1": "n’a de place que"},
}


@pytest.fixture
def german(client: TestClient) -> TestClient:
    client.cookies.set("tackside_language", "de")
    return client


def troubled(client: TestClient) -> dict[str, str]:
    """A picture that is soft and beside the crease, words at the crease, and words that have no room."""
    typed = fields_of(client.get(BOATS).text) | {"p0_lay": "placed", "p0_x": "0", "p0_y": "0", "p0_w": "400"}
    typed |= {"t0_x": "1", "t0_y": "10", "t0_w": "80", "t0_h": "30", "t0_align": "start"}
    return typed | {"t1_text": "Umarmung " * 40, "t1_panel": "front", "t1_size": "60", "credit_qr": "x" * 200}


def test_the_measure_finds_english(client: TestClient) -> None:
    page = client.post(f"{BOATS}/check", data=troubled(client), headers=LIVE).text
    found = english_in(page)
    assert {"card-remark.clearly-soft", "card-remark.text-near-crease", "type.no-room-on-panel"} <= found


@pytest.mark.parametrize("language", WANTED)
def test_remarks_and_faults_are_the_readers_while_a_card_is_made(client: TestClient, language: str) -> None:
    client.cookies.set("tackside_language", language)
    page = client.post(f"{BOATS}/check", data=troubled(client), headers=LIVE).text
    told = dict(re.findall(r'<ul data-of="(\w+)" class="remarks[^"]*">(.*?)</ul>', page, re.DOTALL))
    assert {"p0", "t0", "t1", "credit"} <= set(told)
    for key, words in WANTED[language].items():
        assert words in html.unescape(told[key])
    assert english_in(page) == set()
    assert 'lang="en"' not in page


def test_the_page_and_its_refusal_are_german(german: TestClient) -> None:
    refused = german.post(f"{BOATS}/make", data=troubled(german))
    assert refused.status_code == 422
    for page in (german.get(BOATS).text, refused.text):
        assert english_in(page) == set()


def test_what_is_to_be_known_before_printing_is_german(german: TestClient, bench: Bench) -> None:
    german.post(f"{BOATS}/make", data=fields_of(german.get(BOATS).text))
    finished(bench, bench.jobs.list(kind="card-files")[0])
    page = german.get(f"{BOATS}/print").text
    notes = re.findall(r'<li class="note">.*?<p[^>]*>(.*?)</p>', page, re.DOTALL)
    assert any("Pixel je Zoll" in note for note in notes)
    assert english_in(" ".join(notes)) == set()
    assert 'lang="en"' not in " ".join(re.findall(r'<ul class="notes">.*?</ul>', page, re.DOTALL))
