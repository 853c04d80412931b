"""The interface in another language: every text is there, with its placeholders, and figures are written its way."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.frontend import parse_mapping_cfg
from babel.messages.pofile import read_po

from tackside.bench.store import Bench
from tackside.typed.length import size_mm
from tackside.web.i18n import language
from tackside.web.i18n.preferences import person_of
from tackside.workflow.stocks.questions import FEED_SIZES, SHEET_SIZES
from tests.web.workshop import TestClient

LOCALE = Path(language.__file__).parent / "locale"
# As locale/README.md tells pybabel.
KEYWORDS = {
    "_": None,
    "gettext": None,
    "ngettext": (1, 2),
    "say": None,
    "count": (1, 2),
    "tell": (2,),
    "Message": (2,),
}


def texts() -> set[str]:
    """Every text that is marked for translation: of the interface, and messages of the floors below that it shows."""
    with (LOCALE / "babel.cfg").open() as file:
        methods, options = parse_mapping_cfg(file)
    found = extract_from_dir(LOCALE.parents[2], methods, options, keywords=KEYWORDS)  # type: ignore[arg-type]
    messages = (message for _file, _line, message, _comments, _context in found)
    return {each if isinstance(each, str) else each[0] for each in messages} - {""}


OTHERS = tuple(each for each in language.LANGUAGES if each != "en")


def catalogue_of(code: str) -> Catalog:
    with (LOCALE / code / "tackside.po").open("rb") as file:
        return read_po(file, locale=code)


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_is_there_in_every_language(code: str) -> None:
    catalogue = catalogue_of(code)
    wanted = texts()
    assert len(wanted) > 300
    assert sorted(text for text in wanted if text not in catalogue or not all(_told(catalogue[text]))) == []
    assert sorted(str(each.id) for each in catalogue if each.id and _first(each) not in wanted) == []


@pytest.mark.parametrize("code", OTHERS)
def test_placeholders_are_the_same_in_all(code: str) -> None:
    places = re.compile(r"%\(\w+\)\w|%%|{\w+}")
    for message in catalogue_of(code):
        for text, other in zip(_ids(message), _told(message), strict=True):
            assert set(places.findall(other)) == set(places.findall(text)), text


@pytest.mark.parametrize("code", OTHERS)
def test_no_text_is_left_in_english(code: str) -> None:
    """Three words or more that read as the English do are not translated."""
    assert [
        text
        for message in catalogue_of(code)
        for text, other in zip(_ids(message), _told(message), strict=True)
        if text == other and len(re.findall(r"[^\W\d_]{2,}", re.sub(r"%\(\w+\)\w", "", text))) > 2
    ] == []


@pytest.mark.parametrize("code", OTHERS)
def test_pages_come_in_a_language_when_asked_for(client: TestClient, bench: Bench, code: str) -> None:
    judged = bench.trials.list()[0].id
    english = {
        text: other
        for message in catalogue_of(code)
        for text, other in zip(_ids(message), _told(message), strict=True)
        if text and text != other
    }
    asked = {"accept-language": f"{code}-XX,{code};q=0.9,en;q=0.5"}
    for path in ("/", "/stocks", "/describe/stock", f"/trials/{judged}", "/test", "/jobs", "/cards", "/runs"):
        page = client.get(path, headers=asked).text
        assert f'<html lang="{code}"' in page
        shown = {" ".join(html.unescape(each).split()) for each in re.findall(r">([^<>]+)<", page)}
        assert shown & set(english) <= set(english.values()), path


def test_the_first_page_asks_in_the_readers_language(client: TestClient) -> None:
    questions = {
        "de": "Was möchten Sie tun?",
        "fr-CA": "Que voulez-vous faire\u202f?",
        "it,en;q=0.1": "What would you like to do?",
    }
    for asked, question in questions.items():
        assert question in html.unescape(client.get("/", headers={"accept-language": asked}).text)


def test_a_choice_of_language_units_and_theme_is_kept(client: TestClient) -> None:
    wished = {"language": "de", "units": "in", "theme": "dark", "back": "/stocks"}
    answer = client.post("/preferences", data=wished)
    assert answer.headers["location"] == "/stocks"
    page = client.get("/stocks").text
    assert 'lang="de" data-theme="dark"' in page
    assert "7,087 × 4,724 in" in page
    assert (
        client.post("/preferences", data={"language": "xx", "back": "//example.com"}).headers["location"]
        == "/"
    )


@pytest.mark.parametrize(
    ("accept", "language_", "units"),
    [
        ("", "en", "mm"),
        ("en-US,en", "en", "in"),
        ("en-GB", "en", "mm"),
        ("de-CH", "de", "mm"),
        ("fr-FR,fr", "fr", "mm"),
        ("fr-CA,fr", "fr", "in"),
        ("xx;q=nonsense,de;q=0.3", "de", "mm"),
        (",;;q=", "en", "mm"),
    ],
)
def test_what_a_browser_asks_for_is_the_first_guess(accept: str, language_: str, units: str) -> None:
    person = person_of({}, accept)
    assert (person.language, person.units) == (language_, units)


def test_lengths_are_said_in_the_persons_unit() -> None:
    # 1 inch is 25.4 mm by definition (1959 agreement).
    metric, inches = (person_of({"tackside_units": unit}, "en") for unit in ("mm", "in"))
    assert metric.length(148.5) == "148.5 mm"
    assert inches.length(148.5) == "5.846 in"
    assert inches.size((127, 177.8)) == "5 × 7 in"
    assert inches.typed(127) == "5"
    for code in ("de", "fr"):
        assert person_of({"tackside_language": code}, "").length(0.32) == "0,32 mm"


def test_a_day_is_the_languages_own() -> None:
    # Unicode CLDR, the medium form of a date.
    days = {"en": "3 Feb 2026", "de": "03.02.2026", "fr": "3 févr. 2026"}
    for code, day in days.items():
        assert person_of({"tackside_language": code}, "").day(datetime(2026, 2, 3, 12, tzinfo=UTC)) == day


@pytest.mark.parametrize("code", language.LANGUAGES)
def test_a_size_is_understood_as_it_is_offered(code: str) -> None:
    say = person_of({"tackside_language": code}, "").say
    for size in (*SHEET_SIZES, *FEED_SIZES):
        assert size_mm(say(size)) == size_mm(size) is not None


def test_a_label_inside_a_sentence_keeps_its_capital_where_nouns_do() -> None:
    said = {code: person_of({"tackside_language": code}, "") for code in ("en", "de", "fr")}
    assert [each.inside(each.say("Front")) for each in said.values()] == ["front", "Vorderseite", "recto"]


def _ids(message: Message) -> tuple[str, ...]:
    return (message.id,) if isinstance(message.id, str) else tuple(message.id)


def _told(message: Message) -> tuple[str, ...]:
    return (message.string,) if isinstance(message.string, str) else tuple(message.string)


def _first(message: Message) -> str:
    return _ids(message)[0]
