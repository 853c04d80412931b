"""``tackside bench rejudge``: an archive judged again; only what comes out otherwise is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.cli.bench_of_examples import Caller
from tests.report.invented import four


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
    assert bench.verdicts.latest("T0").reading == "T0-r1"
    assert call.document("bench", "rejudge")["changed"] == []
    assert "give 1 or more" in call.refusal("bench", "rejudge", "--workers", "0")
