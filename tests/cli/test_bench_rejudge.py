"""``tackside bench rejudge``: an archive judged again; only what comes out otherwise is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.press.printer.stock_model import matt_coated
from tackside.records import Verdict
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.profile.card_profiles import press_profile
from tests.report.invented import four
from tests.verdict import readings


def test_an_archive_is_judged_again_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bench = Bench.open(tmp_path / "bench")
    for number, entry in enumerate(four()[:2]):
        bench.stocks.add(entry.stock)
        bench.printers.add(entry.printer)
        trial = entry.trial.model_copy(update={"id": f"T{number}"})
        bench.trials.add(trial)
        reading = bench.readings.add(entry.reading.model_copy(update={"trial": trial.id}))
        # These verdicts are invented, so judging comes to others.
        bench.verdicts.add(entry.verdict.model_copy(update={"trial": trial.id, "reading": reading.id}))
    call = Caller(tmp_path / "bench", capsys)
    found = call.document("bench", "rejudge", "--workers", "2")
    assert found["judged"] == 2
    assert [each["trial"] for each in found["changed"]] == ["T0", "T1"]
    assert [len(bench.verdicts.list(f"T{number}")) for number in range(2)] == [2, 2]
    assert bench.verdicts.standing("T0").reading == "T0-r1"
    assert call.document("bench", "rejudge")["changed"] == []
    assert "give 1 or more" in call.refusal("bench", "rejudge", "--workers", "0")


def test_a_print_is_judged_again_beside_what_stood_beside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    for name, side in (("FRNT", "front"), ("BACK", "back"), ("PRFL", "front")):
        bench.trials.add(readings.trial(name=name).model_copy(update={"side": side}))
        weak = {"black": 31.0, "chroma": 0.5} if name == "BACK" else {}
        bench.readings.add(readings.reading(**weak, more={"trial": name}))
    profile = tmp_path / "matt.icc"
    profile.write_bytes(press_profile(matt_coated()))
    call = Caller(tmp_path / "bench", capsys)
    alone = call.document("judge", "BACK")
    sides = call.document("judge", "BACK", "--other-side", "FRNT")
    predicted = call.document("judge", "PRFL", "--profile", profile, "--profile-of", "card")
    assert sides["causes"] != alone["causes"]
    assert (sides["other_side"], predicted["profile_of"]) == ("FRNT", "card")
    profile.unlink()  # the bench has its own
    assert bench.file(predicted["profile_sha256"]).is_file()
    found = call.document("bench", "rejudge")
    assert [each["trial"] for each in found["changed"]] == ["FRNT"]  # it had no verdict yet
    assert call.document("bench", "rejudge")["changed"] == []


def test_a_verdict_that_was_kept_before_these_were_is_still_read(tmp_path: Path) -> None:
    verdict = four()[0].verdict
    told = verdict.model_dump(mode="json", exclude={"other_side", "profile_sha256", "profile_of"})
    assert Verdict.model_validate(told) == verdict
