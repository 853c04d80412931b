"""The list of runs says how far each of them is."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from tackside.bench.store import Bench
from tackside.records.run import KeptBatch, KeptRun
from tackside.workflow.runs.count import all_so_far, count_sheets
from tackside.workflow.standing.withdraw import withdraw_count


def kept(bench: Bench, name: str, good: int) -> str:
    batch = KeptBatch(
        number=1, printer="Tern 8", stock="S", setting="fine", good=good, spoiled=1, setup=1,
        cards=(("Boats", good),), tones_m2=(None,),
    )  # fmt: skip
    run = KeptRun(
        name=name, folder="/there", file="run.toml", file_sha256="0" * 64, made_at=datetime.now(UTC),
        batches=(batch,), plan={"quantity": good},
    )  # fmt: skip
    return bench.runs.add(run).id or ""


def test_each_run_is_told_as_far_as_it_is(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench")
    fair, fete = kept(bench, "Fair", 40), kept(bench, "Fete", 10)
    count_sheets(bench, fair, 1, {"good": 12, "spoiled": 2, "set-up": 1})
    count_sheets(bench, fete, 1, {"good": 10, "spoiled": 0, "set-up": 0})
    count_sheets(bench, fair, 1, {"good": 5, "spoiled": 0, "set-up": 0})
    withdraw_count(bench, fair, len(bench.runs.counts(fair)))
    told = [(each.run.name, each.ordered, each.printed, each.good, each.left) for each in all_so_far(bench)]
    assert told == [("Fair", 40, 15, 12, 28), ("Fete", 10, 10, 10, 0)]
