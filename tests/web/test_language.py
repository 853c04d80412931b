"""The interface in another language: every text is there, with its placeholders, and figures are written its way."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.frontend import parse_mapping_cfg
from babel.messages.pofile import read_po

from tackside.bench.store import Bench
from tackside.web.i18n import language
from tackside.web.i18n.preferences import person_of
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


def german() -> Catalog:
    with (LOCALE / "de" / "tackside.po").open("rb") as file:
        return read_po(file, locale="de")


def test_every_text_has_its_german() -> None:
    catalogue = german()
    wanted = texts()
    assert len(wanted) > 300
    assert sorted(text for text in wanted if not (catalogue.get(text) and catalogue[text].string)) == []
    assert sorted(str(each.id) for each in catalogue if each.id and _first(each) not in wanted) == []


def test_placeholders_are_the_same_in_both() -> None:
    for message in german():
        ids = (message.id,) if isinstance(message.id, str) else tuple(message.id)
        told = (message.string,) if isinstance(message.string, str) else tuple(message.string)
        for text, other in zip(ids, told, strict=True):
            assert set(re.findall(r"%\(\w+\)\w|%%", other)) == set(re.findall(r"%\(\w+\)\w|%%", text))


def test_pages_come_in_german_when_asked_for(client: TestClient, bench: Bench) -> None:
    judged = bench.trials.list()[0].id
    for path in ("/", "/stocks", "/describe/stock", f"/trials/{judged}", "/test", "/jobs"):
        page = client.get(path, headers={"accept-language": "de-AT,de;q=0.9,en;q=0.5"}).text
        assert '<html lang="de"' in page
    assert "Was möchten Sie tun?" in client.get("/", headers={"accept-language": "de"}).text
    assert "What would you like to do?" in client.get("/", headers={"accept-language": "fr,en;q=0.1"}).text


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
    assert person_of({"tackside_language": "de"}, "").length(0.32) == "0,32 mm"


def _first(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]
