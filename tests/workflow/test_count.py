"""Sheets and cartridges are counted all or nothing, whoever asks."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.records import Feed, Inks, Printer
from tackside.records.run import KeptRun
from tackside.run.plan.document import document, kept_batches
from tackside.workflow.runs.count import change_ink, count_sheets, run_so_far
from tests.run.invented import TERN, card, plan, run


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench.open(tmp_path / "bench")


@pytest.fixture
def tern(bench: Bench) -> str:
    feed = Feed(name="rear", min_size_mm=(89, 89), max_size_mm=(210, 297))
    bench.printers.add(Printer(name=TERN, inks=Inks(count=8), grid_ppi=720, feeds=(feed,)))
    return TERN


@pytest.fixture
def kept(bench: Bench) -> str:
    told = plan(run(card("Boats", 30)), tones_m2=0.05)
    found = bench.runs.add(
        KeptRun(
            name="Harbour fair",
            folder="/invented",
            file="run.toml",
            file_sha256="0" * 64,
            made_at=datetime(2026, 5, 4, 12, tzinfo=UTC),
            batches=kept_batches(told),
            plan=document(told),
        )
    )
    return found.id or ""


def test_what_is_counted_shows_at_once(bench: Bench, kept: str) -> None:
    count_sheets(bench, kept, 1, {"good": 7, "spoiled": 2, "set-up": 0}, why="skewed")
    (batch,) = run_so_far(bench, kept).batches
    assert (batch.good, batch.spoiled, batch.setup) == (7, 2, 0)
    assert batch.reasons == {"skewed": 2}


@pytest.mark.parametrize("sheets", [{}, {"good": 0}, {"good": 3, "spoiled": -1}])
def test_a_count_of_nothing_or_less_is_refused_whole(bench: Bench, kept: str, sheets: dict[str, int]) -> None:
    with pytest.raises(BadRequest) as raised:
        count_sheets(bench, kept, 1, sheets)  # type: ignore[arg-type]  # what a form may send
    assert raised.value.message.code == "count.nothing"
    assert bench.runs.tallies(kept) == ()


@pytest.mark.parametrize(
    ("inks", "ml", "code"),
    [
        (["cyan"], 0.0, "count.no-such-cartridge"),
        (["cyan", " "], 14.0, "count.ink-without-a-name"),
    ],
)
def test_a_cartridge_that_cannot_be_is_not_noted(
    bench: Bench, inks: list[str], ml: float, code: str, tern: str
) -> None:
    with pytest.raises(BadRequest) as raised:
        change_ink(bench, tern, inks, ml)
    assert raised.value.message.code == code
    assert bench.runs.ink_changes(tern) == ()
