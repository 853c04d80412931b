"""``tackside trial``: listed and shown; settings are noted one after the other and never lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.bench import invented
from tests.cli.bench_of_examples import Caller

TRIAL = "7K3M9QPA"


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial(TRIAL))
    return Caller(tmp_path / "bench", capsys)


def test_a_trial_is_listed_and_shown(call: Caller) -> None:
    listed = call.document("trial", "list")["trials"]
    assert [(each["trial"], each["stock"], each["grade"]) for each in listed] == [
        (TRIAL, "Harbour Satin 300", None)
    ]
    shown = call.document("trial", "show", TRIAL.lower())
    assert shown["trial"] == TRIAL
    assert shown["sheet"]["patches"] == 1
    assert shown["readings"] == []
    assert TRIAL in call.text("trial", "list")
    assert "Readings none yet" in call.text("trial", "show", TRIAL)


def test_what_came_of_a_trial_is_shown(call: Caller) -> None:
    bench = Bench.open(call.folder)
    read = bench.readings.add(invented.reading(TRIAL))
    bench.verdicts.add(invented.verdict(TRIAL, reading=read.id, grade="draft"))
    bench.verdicts.add(invented.verdict(TRIAL, reading=read.id, grade="send"))
    assert call.document("trial", "list")["trials"][0]["grade"] == "send"  # the newest
    shown = call.document("trial", "show", TRIAL)
    assert shown["readings"] == [f"{TRIAL}-r1"]
    assert [each["grade"] for each in shown["verdicts"]] == ["draft", "send"]
    assert f"{TRIAL}-v2: send (none)" in call.text("trial", "show", TRIAL)


def test_every_setting_can_be_noted(call: Caller) -> None:
    document = call.document(
        *(
            "trial",
            "set",
            TRIAL,
            "--media",
            "Photo satin",
            "--quality",
            "Best",
            "--managed-by",
            "application",
        ),
        *("--profile", "satin.icc", "--intent", "relative", "--bpc", "--source-space", "adobe-rgb"),
        *("--lamp", "D50 booth", "--drying-hours", "24", "--notes", "second sheet of the pack"),
    )
    assert document["settings"] == {
        "media_setting": "Photo satin",
        "quality": "Best",
        "colour_managed_by": "application",
        "profile": "satin.icc",
        "intent": "relative",
        "black_point_compensation": True,
        "source_space": "adobe-rgb",
        "lamp": "D50 booth",
        "drying_hours": 24,
        "notes": "second sheet of the pack",
    }
    assert document["trial"] == TRIAL


def test_what_is_not_named_stays_and_what_was_noted_is_history(call: Caller) -> None:
    call.text("trial", "set", TRIAL, "--media", "Matt", "--bpc")
    call.text("trial", "set", TRIAL, "--media", "Photo satin", "--no-bpc")
    shown = call.document("trial", "show", TRIAL)
    assert shown["settings"]["media_setting"] == "Photo satin"
    assert shown["settings"]["black_point_compensation"] is False
    assert [each["media_setting"] for each in shown["settings_history"]] == [None, "Matt", "Photo satin"]


def test_noting_the_same_again_is_not_history(call: Caller) -> None:
    assert call.document("trial", "set", TRIAL, "--media", "Matt")["new"] is True
    again = call.document("trial", "set", TRIAL, "--media", "Matt")
    assert (again["new"], again["revision"]) == (False, 2)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "given nothing to note"),
        (("--drying-hours", "-3"), "drying_hours is −3; it must be at least 0"),
        (("--drying-hours", "nan"), "drying_hours is not a finite number"),
        (("--drying-hours", "soon"), "drying-hours"),
        (("--managed-by", "me"), "managed-by"),
        (("--media", "x" * 201), "media_setting is too long"),
    ],
)
def test_a_setting_that_makes_no_sense_is_refused_and_nothing_noted(
    call: Caller, options: tuple[str, ...], said: str
) -> None:
    assert said in call.refusal("trial", "set", TRIAL, *options)
    assert len(call.document("trial", "show", TRIAL)["settings_history"]) == 1


def test_an_unknown_trial_gets_the_nearest_id(call: Caller) -> None:
    assert f"did you mean '{TRIAL}'" in call.refusal("trial", "show", "7K3M9QPP")
    assert f"did you mean '{TRIAL}'" in call.refusal("trial", "set", "7K3M9QPP", "--media", "Matt")
