"""``tackside stock side``: the printable side from trials on each side and a damp finger's word."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERTIP
from tackside.cli.main import main
from tackside.press.printer.stock_model import StockModel, matt_coated, matt_uncoated_back
from tackside.records import Reading
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.verdict.printed import printed
from tests.verdict.readings import trial

FRONT, BACK, OTHER = "7K3M9QPA", "2B4C6D8E", "9X8Y7Z6W"
STOCK = "Harbour Satin 300"


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(trial(name=FRONT))
    bench.trials.add(trial(side="back", name=BACK))
    bench.trials.add(trial(side="back", name=OTHER))
    return Caller(tmp_path / "bench", capsys)


def keep(call: Caller, name: str, model: StockModel, key: str = "scanner A", **changes: object) -> Reading:
    bench = Bench.open(call.folder)
    there = printed(bench.trials.get(name), model, key=key)
    return bench.readings.add(there.model_copy(update={"trial": name, **changes}))


def test_two_trials_name_the_coated_side(call: Caller) -> None:
    keep(call, FRONT, matt_uncoated_back())
    newest = keep(call, BACK, matt_coated())
    found = call.document("stock", "side", STOCK)
    assert (found["name"], found["printable"], found["sure"]) == (STOCK, "back", True)
    assert sum(found["probabilities"].values()) == pytest.approx(1)
    assert found["back"] == {"trial": BACK, "reading": newest.id, "drag": None}
    shown = call.text("stock", "side", STOCK)
    assert "Print on the back: it is coated, and the front is not" in shown
    assert 'coated = "back" and coated_found_by = "two-sided-trial"' in shown


def test_the_finger_alone_is_enough_to_begin_with(call: Caller) -> None:
    found = call.document("stock", "side", STOCK, "--drag-front", "no", "--drag-back", "yes")
    assert found["printable"] == "back"
    assert found["front"] == {"trial": None, "reading": None, "drag": "no"}
    assert "damp-fingertip" in call.text("stock", "side", STOCK, "--drag-front", "no", "--drag-back", "yes")


def test_who_is_told_to_lay_a_finger_on_it_is_told_where(call: Caller) -> None:
    assert str(DAMP_FINGERTIP).rstrip(".") in call.refusal("stock", "side", STOCK)


def test_who_is_asked_about_a_finger_is_told_where_before(
    call: Caller, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr(sys, "stdin", Terminal("2\n" + "\n" * 30))
    assert main(["--bench", str(call.folder), "answer", FRONT]) == 0
    asked = capsys.readouterr().err
    assert asked.count(str(DAMP_FINGERTIP)) == 1
    assert asked.index(str(DAMP_FINGERTIP)) < asked.index("Does a damp fingertip drag")


def test_answers_by_eye_are_taken_from_the_bench(call: Caller, tmp_path: Path) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text('drag_this_side = "no"\ndrag_other_side = "yes"\ncreep = "much"\n', encoding="utf-8")
    call.document("answer", FRONT, answers)
    found = call.document("stock", "side", STOCK)
    assert (found["front"]["drag"], found["back"]["drag"]) == ("no", "yes")
    assert found["printable"] == "back"


def test_a_pair_that_was_read_alike_goes_before_a_newer_one_that_was_not(call: Caller) -> None:
    keep(call, FRONT, matt_coated())
    keep(call, BACK, matt_uncoated_back())
    keep(call, OTHER, matt_uncoated_back(), key="scanner B")
    found = call.document("stock", "side", STOCK)
    assert (found["back"]["trial"], found["sure"]) == (BACK, True)
    other = call.document("stock", "side", STOCK, "--back", OTHER)
    assert (other["back"]["trial"], other["sure"]) == (OTHER, False)


def test_contradicting_answers_leave_it_open(call: Caller) -> None:
    keep(call, FRONT, matt_coated())
    keep(call, BACK, matt_uncoated_back())
    found = call.document("stock", "side", STOCK, "--drag-front", "no", "--drag-back", "yes")
    assert not found["sure"]
    assert "contradict" in call.text("stock", "side", STOCK, "--drag-front", "no", "--drag-back", "yes")


def test_what_is_not_known_is_refused_with_the_mend(call: Caller) -> None:
    assert "nothing is known of the sides" in call.refusal("stock", "side", STOCK)
    assert "No Such Card" in call.refusal("stock", "side", "No Such Card")
    assert "has no reading yet" in call.refusal("stock", "side", STOCK, "--front", FRONT)
    assert f"{BACK} is {STOCK}, printed on the back" in call.refusal("stock", "side", STOCK, "--front", BACK)
