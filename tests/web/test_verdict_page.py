"""A trial's page leads with three lines and one button; the rest is folded, and the page is short."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from tackside.bench.store import Bench
from tackside.messages.wording import Wording
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import craft_card
from tackside.records import Trial, Verdict
from tackside.verdict.explain.head import head_of
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.verdict.printed import printed
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines
from tests.web.workshop import CRAFT, TestClient, add_trial, furnish, serving

PAGE = {"en": Wording(where="page"), "de": Wording(language="de", where="page")}
# Two screens of 1280 × 800 (this project's own choice), and what a phone may take for the same.
TALLEST = {1280: 1600, 390: 2400}


def bare_and_unmanaged(bench: Bench) -> tuple[Trial, Verdict]:
    """A print with two faults, and so with as much to say as there is."""
    trial = add_trial(bench, CRAFT)
    shown = printed(
        trial, craft_card(), PrinterModel(managed="nobody"), key="scan | device flatbed | 300 ppi"
    )
    read = with_lines(shown, gain=FEATHERED, mottle=1.1).model_copy(
        update={"trial": trial.id, "kind": "scan"}
    )
    reading = bench.readings.add(read)
    verdict = judge(KnownPrint(reading, trial, bench.stocks.get(trial.stock)))
    return trial, bench.verdicts.add(verdict.model_copy(update={"reading": reading.id}))


def page_of(client: TestClient, trial: str, language: str) -> str:
    shown = client.get(f"/trials/{trial}", headers={"accept-language": language})
    assert shown.status_code == 200
    return re.sub(r"\s+", " ", html.unescape(shown.text))


def before_the_folds(page: str) -> str:
    return page[page.index('class="verdict"') : page.index('class="folds"')]


@pytest.mark.parametrize("language", PAGE)
def test_the_three_lines_lead_in_the_readers_language(
    client: TestClient, bench: Bench, language: str
) -> None:
    for trial in (*(each.id for each in bench.trials.list()[:2]), bare_and_unmanaged(bench)[0].id):
        verdict = bench.verdicts.standing(trial)
        head = head_of(verdict, bench.trials.get(trial))
        answer = before_the_folds(page_of(client, trial, language))
        places = [answer.index(PAGE[language].text(line)) for line in head.lines]
        assert places == sorted(places)
        assert places[-1] < answer.index('id="scan"')
        for figure in ("ΔE³", "thousand", "Tausend", "bits", "Bit "):
            assert figure not in answer


def test_one_button_begins_the_next_step(client: TestClient, bench: Bench) -> None:
    for trial in (*(each.id for each in bench.trials.list()[:2]), bare_and_unmanaged(bench)[0].id):
        answer = before_the_folds(page_of(client, trial, "en"))
        (href,) = re.findall(r'<a class="button first[^"]*" href="([^"]+)"', answer)
        assert client.get(href).status_code == 200, href


def test_nothing_is_a_list_of_eleven_before_the_folds(client: TestClient, bench: Bench) -> None:
    trial, _ = bare_and_unmanaged(bench)
    answer = before_the_folds(page_of(client, trial.id, "en"))
    assert all(each.count("<li") <= 5 for each in re.findall(r"<ul.*?</ul>", answer))


def test_a_reason_in_a_fold_is_shown_open_where_it_was_asked_for(client: TestClient, bench: Bench) -> None:
    judged = bench.trials.list()[0].id
    asked = client.get(f"/trials/{judged}?show=tone-order").text
    assert re.search(r"<details open><summary>All reasons", asked)
    assert not re.search(r"<details open><summary>All reasons", client.get(f"/trials/{judged}").text)


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.parametrize("language", ["en-GB", "de-DE"])
def test_the_page_is_short(chromium: Any, tmp_path: Any, language: str) -> None:
    bench = furnish(tmp_path / "bench")
    trials = [*(each.id for each in bench.trials.list()[:2]), bare_and_unmanaged(bench)[0].id]
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        for width, tallest in TALLEST.items():
            context = chromium.new_context(locale=language, viewport={"width": width, "height": 800})
            page = context.new_page()
            for trial in trials:
                page.goto(f"{address}/trials/{trial}", wait_until="networkidle")
                top = page.evaluate("document.querySelector('.folds').getBoundingClientRect().top + scrollY")
                assert 300 < top <= tallest, (width, trial)
                # On a phone too the button is on the first screen or the one after it.
                button = page.evaluate(
                    "document.querySelector('.answer .button').getBoundingClientRect().bottom + scrollY"
                )
                assert button <= 1000
            context.close()
