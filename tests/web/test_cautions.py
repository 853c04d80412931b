"""The cautions on the pages where a person goes to the machine, in their language; and on no page else."""

from __future__ import annotations

import html

import pytest

from tackside.bench.store import Bench
from tackside.cautions import BLADES, CAUTIONS, DAMP_FINGERS, DAMP_FINGERTIP, HEAD_STRIKE, SMALL_PARTS, SMUDGE
from tackside.messages.languages import LANGUAGES
from tackside.messages.message import Message
from tackside.records import Feed, Printer, Stock
from tackside.web.i18n.preferences import wording_for
from tests.web.card_bench import NAME
from tests.web.workshop import CRAFT, SATIN, TERN, TestClient

GERMAN = {"accept-language": "de"}
SHOWN = {
    "fit": (HEAD_STRIKE,),
    "print-trial": (HEAD_STRIKE, DAMP_FINGERS, SMUDGE),
    "by-eye": (DAMP_FINGERTIP,),
    "describe-stock": (DAMP_FINGERTIP,),
    "make-card": (SMALL_PARTS,),
    "print-card": (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS),
    "run": (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS),
}


def path_of(bench: Bench, page: str) -> str:
    trial = bench.trials.list()[0].id
    return {
        "fit": f"/test/fit?stock={SATIN.name}&printer={TERN.name}",
        "print-trial": f"/trials/{trial}/print",
        "by-eye": f"/trials/{trial}/eye",
        "describe-stock": "/describe/stock",
        "make-card": f"/cards/{NAME}",
        "print-card": f"/cards/{NAME}/print",
        "run": f"/runs/{bench.runs.list()[0].id}",
    }[page]


def told(page: str, language: str) -> set[Message]:
    """The cautions that stand on a page in a language, each with its code beside it."""
    text = html.unescape(page)
    return {
        each
        for each in CAUTIONS
        if f'data-caution="{each.code}">{wording_for(language, "mm").text(each)}</p>' in text
    }


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("page", SHOWN)
def test_a_page_at_the_machine_says_what_can_hurt(
    client: TestClient, bench: Bench, page: str, language: str
) -> None:
    got = client.get(path_of(bench, page), headers={"accept-language": language}, follow_redirects=True)
    assert got.status_code == 200
    assert told(got.text, language) == set(SHOWN[page])


@pytest.mark.parametrize(
    "path", ["/", "/stocks", "/printers", "/trials", "/cards", "/runs", "/pictures", "/profiles"]
)
def test_no_page_away_from_it_does(client: TestClient, path: str) -> None:
    got = client.get(path, follow_redirects=True)
    assert got.status_code == 200
    assert "data-caution" not in got.text


def test_card_that_is_too_thick_is_refused_in_german(client: TestClient, bench: Bench) -> None:
    thick = Stock(name="Board 900", caliper_mm=0.95, open_size_mm=(180, 120), coated="unknown")
    bench.stocks.add(thick)
    page = client.get(f"/test/fit?stock={thick.name}&printer={TERN.name}", headers=GERMAN).text
    said = (
        "Einzug rear: der Karton ist 0,95 mm dick, die Grenze liegt bei 0,6 mm: Legen Sie ihn nicht ein, er kann am "
        "Druckkopf anstoßen."
    )
    assert f"<p>{said}</p>" in page
    assert wording_for("de", "mm").text(DAMP_FINGERTIP) in page
    for english in ("strike the head", "unknown", "cannot be fed"):
        assert english not in page


def test_warnings_of_a_fit_are_german_on_every_page_that_has_them(client: TestClient, bench: Bench) -> None:
    bench.printers.add(
        Printer(name="Knot 4", feeds=(Feed(name="top", min_size_mm=(80, 80), max_size_mm=(329, 1000)),))
    )
    page = client.get(f"/test/fit?stock={CRAFT.name}&printer=Knot 4", headers=GERMAN).text
    assert "Der Karton hat keine Inkjet-Beschichtung" in page
    assert "Die Ränder des Einzugs top sind nicht bekannt: 6,35 mm" in page
    craft = next(trial.id for trial in bench.trials.list() if trial.stock == CRAFT.name)
    assert (
        "<p>Der Karton hat keine Inkjet-Beschichtung"
        in client.get(f"/trials/{craft}/print", headers=GERMAN).text
    )
    english = client.get(
        f"/test/fit?stock={CRAFT.name}&printer=Knot 4", headers={"accept-language": "en"}
    ).text
    assert "The card has no inkjet coating" in english
