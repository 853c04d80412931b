"""``tackside judge TRIAL TRIAL …``: several prints at once, each with its own verdict, and what they say together."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.records import Settings
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.verdict import readings
from tests.verdict.printed import printed

TWICE = PrinterModel(managed="twice")
# Id, card, how it was printed, settings.
PRINTS: list[tuple[str, StockModel, PrinterModel, Settings]] = [
    ("2B4C6D8E", semi_gloss(), TWICE, Settings(media_setting="Photo satin")),
    ("4P5Q6R7S", cotton_etching(), TWICE, Settings(media_setting="Photo satin", notes="the second pack")),
    ("6T7V8W9X", matt_coated(), TWICE, Settings(media_setting="Photo satin")),
    ("8Y9Z2A3B", craft_card(), TWICE, Settings(media_setting="Photo satin")),
    ("9X8Y7Z6W", matt_coated(), TWICE, Settings(media_setting="Matt")),
]
IDS = [name for name, *_ in PRINTS]
GROUP = IDS[:4]


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    bench = Bench.open(tmp_path / "bench")
    bench.printers.add(invented.printer())
    for number, (name, model, printer, settings) in enumerate(PRINTS):
        stock = f"Invented card {number}"
        bench.stocks.add(invented.stock(name=stock))
        trial = readings.trial(name=name, settings=settings).model_copy(update={"stock": stock})
        bench.trials.add(trial)
        bench.readings.add(printed(trial, model, printer, seed=number + 1).model_copy(update={"trial": name}))
    return Caller(tmp_path / "bench", capsys)


def test_a_group_is_found_and_its_fault_told_once(call: Caller) -> None:
    found = call.document("judge", *IDS)
    assert set(found) == {"groups", "alone", "verdicts", "faults"}
    (group,) = found["groups"]
    assert group["trials"] == GROUP
    assert group["fault"] == "managed-twice"
    assert group["code"] == "cause.shared.fault"
    assert group["values"]["count"] == 4
    assert "colour managed twice" in group["sentence"]
    assert sum(group["faults"].values()) == pytest.approx(1.0)
    assert {one["trial"] for one in group["prints"]} == set(GROUP)
    for one in group["prints"]:
        assert sum(one["causes"].values()) == pytest.approx(1.0)
        assert one["code"] == f"cause.shared.print.{one['standing']}" or one["standing"] == "bare"
        assert one["evidence"], "each print tells what speaks for and against the fault"
        assert one["evidence"][0]["cause"] == "managed-twice"
        assert isinstance(one["black_l"], float)
    bare = next(one for one in group["prints"] if one["trial"] == "8Y9Z2A3B")
    assert bare["standing"] == "bare"
    (alone,) = found["alone"]
    assert alone["trial"] == "9X8Y7Z6W"
    assert "the media setting (Matt here, Photo satin there)" in alone["why"]["text"]


def test_each_verdict_is_that_of_the_print_judged_by_itself(call: Caller) -> None:
    found = call.document("judge", *IDS)
    assert [each["trial"] for each in found["verdicts"]] == IDS
    for each in found["verdicts"]:
        alone = call.document("judge", each["trial"])
        assert set(alone) == set(each)
        for name in ("grade", "cause", "reasons", "measures", "notices", "reference"):
            assert alone[name] == each[name]
        assert each["causes"] == pytest.approx(alone["causes"], abs=1e-9)
    grades = {each["trial"]: each["grade"] for each in found["verdicts"]}
    assert {one["trial"]: one["grade"] for one in found["groups"][0]["prints"]} == {
        name: grades[name] for name in GROUP
    }


def test_verdicts_are_kept_one_for_each_trial(call: Caller, tmp_path: Path) -> None:
    call.document("judge", *IDS, IDS[0])
    bench = Bench.open(tmp_path / "bench")
    assert [len(bench.verdicts.list(name)) for name in IDS] == [1] * len(IDS)


def test_one_trial_named_twice_is_one_trial(call: Caller) -> None:
    assert "grade" in call.document("judge", IDS[0], IDS[0])


def test_one_that_cannot_be_judged_costs_one_line(call: Caller, tmp_path: Path) -> None:
    code, out, err = call._call("judge", IDS[0], "NOWHERE1", "--json")
    assert code == 2
    assert (err.count("\n"), "NOWHERE1" in err) == (1, True)
    found = json.loads(out)
    assert [each["trial"] for each in found["verdicts"]] == IDS[:1]
    (fault,) = found["faults"]
    assert (fault["trial"], fault["code"]) == ("NOWHERE1", "bench.no-trial")
    assert len(Bench.open(tmp_path / "bench").verdicts.list(IDS[0])) == 1
    assert "NOWHERE1" in call.refusal("judge", "NOWHERE1", "NOWHERE2")
    # What all are set beside is missing: nothing is kept.
    assert "NOWHERE1" in call.refusal("judge", *IDS[1:3], "--against", "NOWHERE1")
    assert not Bench.open(tmp_path / "bench").verdicts.list(IDS[1])


def test_what_belongs_to_one_print_is_refused_for_several(call: Caller) -> None:
    assert "judge that trial by itself" in call.refusal("judge", *IDS, "--drag-this-side", "yes")


def test_a_good_print_stands_beside_each(call: Caller) -> None:
    found = call.document("judge", *GROUP[:2], "--against", IDS[4])
    assert [each["against"] for each in found["verdicts"]] == [IDS[4]] * 2


def test_the_page_leads_with_the_fault_and_names_the_cards(call: Caller) -> None:
    shown = call.text("judge", *IDS, "--full")
    assert "One fault lies behind these 4 prints: colour managed twice" in " ".join(shown.split())
    assert shown.index("One fault lies behind") < shown.index("As printed")
    assert "Judged alone" in shown
    assert "independent prints" in shown


def test_several_verdicts_are_a_line_each(call: Caller, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    _, out, _ = call._call("judge", *IDS)
    lines = out.splitlines()
    assert len(lines) <= len(IDS) + 7
    for name in IDS:
        assert sum(line.startswith(f" {name} ") for line in lines) == 1
    assert "One fault lies behind these 4 prints: colour managed twice" in " ".join(out.split())
    assert "tackside report " in out
    monkeypatch.setenv("COLUMNS", "60")
    _, narrow, _ = call._call("judge", *IDS)
    assert all(name in narrow for name in IDS)
