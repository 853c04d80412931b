"""What is counted at the printer is kept, adds up, and is learnt from."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.records.run import KeptRun, PrintJob
from tackside.run.plan.document import document, kept_batches
from tackside.run.plan.progress import progress_of, tally
from tackside.workflow.runs.plan import log_of
from tests.refusals import refused
from tests.run.invented import SATIN, TERN, card, plan, run

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench.open(tmp_path / "bench")


@pytest.fixture
def kept(bench: Bench) -> KeptRun:
    told = plan(run(card("Boats", 30), card("Gulls", 10)), tones_m2=0.05)
    batches = kept_batches(told)
    return bench.runs.add(
        KeptRun(
            name="Harbour fair",
            folder="/invented",
            file="run.toml",
            file_sha256="0" * 64,
            made_at=NOON,
            batches=batches,
            plan=document(told),
        )
    )


def test_a_kept_run_comes_back_as_it_was(bench: Bench, kept: KeptRun) -> None:
    assert kept.id
    assert bench.runs.get(kept.id.lower()) == kept
    assert bench.runs.list() == (kept,)
    again = bench.runs.add(kept)
    assert again.id != kept.id
    with refused(NotFound, "bench.no-run", hint=Message("bench.see-runs")):
        bench.runs.get("NOSUCH")


def test_counts_add_up_and_say_what_is_left(bench: Bench, kept: KeptRun) -> None:
    bench.runs.count(
        tally(kept, 1, "set-up", 2, made_at=NOON),
        tally(kept, 1, "good", 12, made_at=NOON, card="Boats"),
        tally(kept, 1, "spoiled", 3, made_at=NOON, why="skewed"),
        tally(kept, 1, "spoiled", 1, made_at=NOON, why="banding"),
        tally(kept, 1, "good", 10, made_at=NOON),
    )
    (told,) = progress_of(kept, bench.runs.tallies(kept.id))
    assert (told.good, told.spoiled, told.setup, told.left) == (22, 4, 2, 18)
    assert told.reasons == {"skewed": 3, "banding": 1}
    assert told.unexplained == 0


def test_more_than_was_planned_leaves_nothing(bench: Bench, kept: KeptRun) -> None:
    bench.runs.count(tally(kept, 1, "good", 45, made_at=NOON))
    assert progress_of(kept, bench.runs.tallies(kept.id))[0].left == 0


def test_the_log_learns_from_what_is_counted(bench: Bench, kept: KeptRun) -> None:
    bench.runs.count(
        tally(kept, 1, "set-up", 1, made_at=NOON),
        tally(kept, 1, "set-up", 1, made_at=NOON),
        tally(kept, 1, "good", 57, made_at=NOON),
        tally(kept, 1, "spoiled", 3, made_at=NOON, why="skewed"),
    )
    log = log_of(bench, SATIN, TERN)
    assert (log.good, log.spoiled, log.setups) == (57, 3, (2,))
    later = plan(run(card("Boats", 40), waste={}), {(SATIN, TERN): log})
    # 3 of 60: 40 ÷ 0.95 = 42.1, so 43.
    assert later.sheets[0].spoiled == 3
    waste = next(each for each in later.assumptions if each.code == "run.waste")
    assert waste.value("spoilage") == Message("run.spoilage-from-log", sheets=60)


def test_the_ink_of_what_is_counted_is_the_cards_or_the_batchs_mean(kept: KeptRun) -> None:
    assert tally(kept, 1, "good", 10, made_at=NOON, card="Gulls").tones_m2 == pytest.approx(0.5)
    assert tally(kept, 1, "good", 10, made_at=NOON).tones_m2 == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("batch", "sheets", "card", "code", "values"),
    [
        (2, 1, None, "run.no-batch", {"batch": 2, "last": 1}),
        (1, 0, None, "run.sheets-not-counted", {"sheets": 0}),
        (1, -4, None, "run.sheets-not-counted", {"sheets": -4}),
        (1, 1, "Terns", "run.no-card-in-batch", {"card": "Terns", "known": ("Boats", "Gulls")}),
    ],
)
def test_counts_that_cannot_be_are_refused(
    kept: KeptRun, batch: int, sheets: int, card: str | None, code: str, values: dict[str, Any]
) -> None:
    with pytest.raises(BadRequest) as refused:
        tally(kept, batch, "good", sheets, made_at=NOON, card=card)
    assert refused.value.message.code == code
    assert values.items() <= refused.value.message.values.items()


def test_spoiled_sheets_that_nobody_explains_are_counted_as_such(bench: Bench, kept: KeptRun) -> None:
    bench.runs.count(
        tally(kept, 1, "spoiled", 3, made_at=NOON),
        tally(kept, 1, "spoiled", 2, made_at=NOON, why="no reason given"),
    )
    (told,) = progress_of(kept, bench.runs.tallies(kept.id))
    assert (told.spoiled, told.reasons, told.unexplained) == (5, {"no reason given": 2}, 3)


def test_a_job_that_an_earlier_version_kept_is_read() -> None:
    """Why a job was refused stood among the printer's keywords then."""
    job = {
        "printer": TERN, "uri": "ipp://tern.local/ipp/print", "document": "Boats", "document_sha256": "0" * 64,
        "copies": 1, "asked": {}, "state": "aborted", "reasons": ["it is busy"], "made_at": NOON.isoformat(),
    }  # fmt: skip
    old = PrintJob.model_validate(job)
    assert (old.reasons, old.trouble) == (("it is busy",), None)


def test_nothing_of_a_count_is_kept_where_its_run_is_not_there(bench: Bench, kept: KeptRun) -> None:
    good = tally(kept, 1, "good", 5, made_at=NOON)
    with pytest.raises(NotFound):
        bench.runs.count(good, good.model_copy(update={"run": "NOSUCH"}))
    assert bench.runs.tallies() == ()


def test_a_job_is_kept_as_it_was_asked_and_as_it_ended(bench: Bench, kept: KeptRun) -> None:
    job = PrintJob(
        run=kept.id,
        batch=1,
        printer=TERN,
        uri="ipp://tern.local/ipp/print",
        document="Boats",
        document_sha256="0" * 64,
        copies=12,
        asked={"print-scaling": "none"},
        state="sent",
        made_at=NOON,
    )
    number = bench.runs.note_job(job)
    other = bench.runs.note_job(job.model_copy(update={"document": "Gulls"}))
    assert other != number
    ended = job.model_copy(update={"state": "aborted", "job_id": 4, "reasons": ("media-empty-report",)})
    assert bench.runs.note_job(ended, number) == number
    assert [(each.document, each.state) for each in bench.runs.jobs(kept.id)] == [
        ("Boats", "aborted"),
        ("Gulls", "sent"),
    ]
