"""``tackside reading|trial|run withdraw`` and ``put-back``: out of every answer, kept in the history."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.verdict import readings
from tests.web.workshop import add_run

POOR, GOOD = "7K3M9QPA", "G00DPR1N"


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    for name, look in ((POOR, {"black": 31.0, "chroma": 0.5}), (GOOD, {"black": 8.0})):
        bench.trials.add(readings.trial(name=name))
        bench.readings.add(readings.reading(more={"trial": name}, **look))
    caller = Caller(tmp_path / "bench", capsys)
    for name in (POOR, GOOD):
        caller.document("judge", name)
    return caller


def test_a_reading_is_withdrawn_and_put_back(call: Caller) -> None:
    reading = f"{POOR}-r1"
    done = call.document("reading", "withdraw", reading.lower(), "--why", "smudged")
    assert (done["trial"], done["reading"], done["withdrawn"], done["new"]) == (POOR, reading, True, True)
    assert (done["stands"], done["why"]) == (None, "smudged")
    assert [each["code"] for each in done["said"]] == ["bench.withdrew-reading", "bench.no-verdict-stands"]
    shown = call.document("trial", "show", POOR)
    assert (shown["readings"], [each["stands"] for each in shown["verdicts"]]) == ([], [False])
    assert [each["withdrawn"] for each in shown["verdicts"]] == [True]
    (away,) = shown["withdrawn_readings"]
    assert (away["reading"], away["why"]) == (reading, "smudged")
    assert "withdrawn" in call.text("trial", "show", POOR)
    listed = {each["trial"]: each["grade"] for each in call.document("trial", "list")["trials"]}
    assert listed[POOR] is None
    assert "has no reading that was not withdrawn" in call.refusal("judge", POOR)
    assert "tackside reading put-back" in call.refusal("judge", GOOD, "--against", POOR)
    back = call.document("reading", "put-back", reading)
    assert back["stands"]["reading"] == reading
    assert "is not withdrawn" in call.text("reading", "put-back", reading)
    assert "there is no reading" in call.refusal("reading", "withdraw", "NOWHERE1-r1")


def test_a_trial_is_withdrawn_and_the_stock_falls_back(call: Caller) -> None:
    def standing() -> list[str]:
        (stock,) = call.document("stock", "list")["stocks"]
        assert stock["standing"][0]["grade"] in call.text("stock", "list")
        return [f"{each['side']} {each['trial']}" for each in stock["standing"]]

    assert standing() == [f"front {GOOD}"]
    assert "is withdrawn. It stays in the history" in call.text("trial", "withdraw", GOOD, "--why", "test")
    assert standing() == [f"front {POOR}"]
    assert [each["trial"] for each in call.document("trial", "list")["trials"]] == [POOR]
    assert [each["trial"] for each in call.document("trial", "list", "--withdrawn")["trials"]] == [GOOD]
    assert call.document("trial", "show", GOOD)["withdrawn"] is True
    assert f"tackside trial put-back {GOOD}" in call.refusal("judge", POOR, "--against", GOOD)
    assert "was withdrawn" in call.refusal("gamut", GOOD)
    assert call.document("trial", "put-back", GOOD)["stands"]["trial"] == GOOD
    assert standing() == [f"front {GOOD}"]


def test_answers_by_eye_are_told_beside_the_verdict_that_stands(call: Caller) -> None:
    given = ("creep=much", "black_beside_good=much-less", "colour_beside_good=much-less", "hues_off=0")
    read = call.document("answer", GOOD, *(word for each in given for word in ("--say", each)))
    judged = call.document("judge", GOOD)
    assert judged["reading"] == f"{GOOD}-r1"
    assert (judged["by_eye"]["reading"], read["reading"]) == (f"{GOOD}-r2", f"{GOOD}-r2")
    assert judged["by_eye"]["grade"] != judged["grade"]
    assert "By eye, judged apart" in call.text("judge", GOOD)
    listed = {each["trial"]: each["grade"] for each in call.document("trial", "list")["trials"]}
    assert listed[GOOD] == judged["grade"]


def test_a_count_is_withdrawn_and_too_many_are_asked_about(call: Caller) -> None:
    run = add_run(Bench.open(call.folder))
    assert "batch 1 would have 405 good sheets, and 40 are ordered" in call.refusal(
        "run", "count", run, "1", "--good", "405"
    )
    assert call.document("run", "show", run)["counts"] == []
    counted = call.document("run", "count", run, "1", "--good", "405", "--yes")
    assert (counted["batches"][0]["printed"], counted["counts"][0]["count"]) == (405, 1)
    done = call.document("run", "withdraw", run, "1", "--why", "typed a 5 too many")
    assert (done["batches"][0]["printed"], done["counts"][0]["withdrawn"]) == (0, True)
    assert done["counts"][0]["withdrawn_why"] == "typed a 5 too many"
    assert "withdrawn: typed a 5 too many" in call.text("run", "show", run)
    assert call.document("run", "put-back", run, "1")["batches"][0]["printed"] == 405
    assert "has no count 7" in call.refusal("run", "withdraw", run, "7")
