"""What speaks for and against a cause, on a trial's page."""

from __future__ import annotations

import re

import pytest

from tackside.bench.store import Bench
from tackside.messages.wording import Wording
from tackside.reading.eye import read_answers
from tackside.reading.eye_questions import answers_from
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.web.views.evidence import FIGURES, RULES
from tests.web.workshop import TestClient

PAGE = Wording(where="page")


def test_a_scans_reasons_for_a_cause_point_into_the_scan(client: TestClient, bench: Bench) -> None:
    trial = next(
        each
        for each in bench.trials.list()
        if bench.verdicts.list(each.id)[-1:] and bench.verdicts.list(each.id)[-1].evidence
    )
    verdict = bench.verdicts.standing(trial.id)
    shown = client.get(f"/trials/{trial.id}").text
    part = shown[shown.index("What speaks for and against") :]
    for each in verdict.evidence:
        key = FIGURES[each.figure.code]
        assert key in RULES
        way = "for" if each.weight > 0 else "against"
        assert re.search(
            rf'<li class="{way}"><a href="\?show={key}#scan"[^>]*><span>{re.escape(PAGE.text(each.sentence))}',
            part.replace("&#39;", "'"),
        )


def test_answers_by_eye_are_shown_in_the_place_of_a_scan(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[2]
    given = answers_from({"black_beside_good": "much-less", "creep": "much", "drag_this_side": "no",
                          "beside_screen": "less", "hues_off": 0})  # fmt: skip
    reading = bench.readings.add(read_answers(given, trial.sheet, trial=trial.id))
    bench.verdicts.add(judge(KnownPrint(reading, trial=trial)))
    shown = client.get(f"/trials/{trial.id}").text
    assert "It was told by eye" not in shown
    assert "An estimate: it was told by eye, not measured." in shown
    assert "A damp finger slides on the printed side." in shown
    assert "There is no scan on the bench" not in shown
    assert '<li class="for"><span>A damp finger slides on the printed side. By eye, that speaks for' in shown


@pytest.mark.parametrize("key", sorted(set(FIGURES.values())))
def test_every_figure_points_at_something_that_can_be_shown(key: str) -> None:
    assert RULES[key].roles or RULES[key].targets
