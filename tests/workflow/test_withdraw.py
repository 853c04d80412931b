"""Withdrawing and putting back, and what rests on it: verdicts, prints judged beside it, scanners, runs."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.bench.transfer.exchange import export_stock
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.reading.eye import Answers
from tackside.reading.eye_questions import answers_from
from tackside.records import Verdict
from tackside.records.scanner import Characterisation, ColourModel, Scanner
from tackside.records.standing.withdrawal import Withdrawal
from tackside.workflow.answers import answer_by_eye
from tackside.workflow.judge import judge_print
from tackside.workflow.read import read_back
from tackside.workflow.rejudge import judge_all_again
from tackside.workflow.report import ReportWishes, entry_of, write_site
from tackside.workflow.runs.count import beyond_order, count_sheets, run_so_far
from tackside.workflow.scanners import scanner_use
from tackside.workflow.sides import printable_side
from tackside.workflow.standing.history import history_of
from tackside.workflow.standing.withdraw import withdraw_count, withdraw_reading, withdraw_trial
from tackside.workflow.stocks.exchange import take_in
from tests.bench import invented
from tests.refusals import refused
from tests.verdict import readings
from tests.workflow.test_count import bench, kept, tern

__all__ = ["bench", "kept", "tern"]  # fixtures
TRIAL, GOOD = "7K3M9QPA", "G00DPR1N"
ENOUGH: dict[str, Any] = {
    "creep": "much", "black_beside_good": "much-less", "colour_beside_good": "much-less", "hues_off": 0,
}  # fmt: skip


@pytest.fixture
def studio(tmp_path: Path) -> Bench:
    """Two trials of a stock, each read once by an instrument: a poor print and a good one."""
    made = Bench.open(tmp_path / "studio")
    made.stocks.add(invented.stock())
    made.printers.add(invented.printer())
    for days, (name, look) in enumerate(((TRIAL, {"black": 31.0, "chroma": 0.5}), (GOOD, {"black": 8.0}))):
        made_at = readings.NOON + timedelta(days=days)
        made.trials.add(readings.trial(name=name).model_copy(update={"made_at": made_at}))
        made.readings.add(readings.reading(more={"trial": name}, **look))
    return made


def scanned(bench: Bench, **look: Any) -> str:
    """A scan of the poor trial, which looks otherwise; its id."""
    found = readings.reading(
        kind="scan", key="scan | device flatbed", de00=1.5, more={"trial": TRIAL}, **look
    )
    return bench.readings.add(found).id or ""


def answers() -> Answers:
    return answers_from(ENOUGH)


def conclusion(verdict: Verdict | None) -> tuple[object, ...] | None:
    return None if verdict is None else (verdict.reading, verdict.against, verdict.grade, verdict.causes)


def test_a_trial_falls_back_to_the_reading_before_and_to_none(studio: Bench) -> None:
    poor = judge_print(studio, TRIAL).verdict
    better = studio.readings.add(readings.reading(more={"trial": TRIAL}, black=8.0))
    good = judge_print(studio, TRIAL).verdict
    assert (good.reading, poor.reading) == (better.id, f"{TRIAL}-r1")
    done = withdraw_reading(studio, better.id or "", why="the wrong sheet")
    assert (done.is_new, done.withdrawn, done.judged) == (True, True, ())
    assert done.stands is not None
    assert done.stands.id == poor.id
    assert entry_of(studio, TRIAL).reading.id == poor.reading
    none = withdraw_reading(studio, f"{TRIAL}-r1")
    assert none.stands is None
    with refused(NotFound, "bench.all-readings-withdrawn"):
        judge_print(studio, TRIAL)
    with pytest.raises(NotFound):
        entry_of(studio, TRIAL)
    told = history_of(studio, TRIAL)
    assert [each.withdrawal is not None for each in told.readings] == [True, True]
    assert told.readings[1].withdrawal is not None
    assert told.readings[1].withdrawal.why == "the wrong sheet"
    back = withdraw_reading(studio, better.id or "", back=True)
    assert back.stands is not None
    assert back.stands.id == good.id
    assert not withdraw_reading(studio, better.id or "", back=True).is_new


def test_a_reading_that_was_never_judged_is_judged_once_it_stands(studio: Bench) -> None:
    judge_print(studio, GOOD)
    again = studio.readings.add(readings.reading(more={"trial": TRIAL}, black=8.0))
    wrong = judge_print(studio, TRIAL, reading=again, against=GOOD).verdict
    done = withdraw_reading(studio, again.id or "")
    (new,) = done.judged
    assert (new.reading, new.against) == (f"{TRIAL}-r1", GOOD)
    assert new == done.stands
    assert conclusion(new) != conclusion(wrong)


def test_answers_by_eye_stand_beside_a_scan_and_not_before_it(studio: Bench) -> None:
    scan = scanned(studio, black=8.0)
    withdraw_reading(studio, f"{TRIAL}-r1")
    by_scan = judge_print(studio, TRIAL).verdict
    assert by_scan.reading == scan
    eye = answer_by_eye(studio, TRIAL, answers(), for_a_verdict=True)
    by_eye = judge_print(studio, TRIAL, reading=eye).verdict
    assert by_eye.grade != by_scan.grade
    assert studio.verdicts.standing(TRIAL).id == by_scan.id
    told = history_of(studio, TRIAL)
    assert told.by_eye is not None
    assert told.by_eye.id == by_eye.id
    # Without the scan the answers are all there is.
    withdraw_reading(studio, scan)
    assert studio.verdicts.standing(TRIAL).id == by_eye.id
    assert history_of(studio, TRIAL).by_eye is None


def test_answers_are_judged_beside_what_was_measured_once(studio: Bench) -> None:
    answer_by_eye(studio, TRIAL, answers())
    first, second = judge_print(studio, TRIAL), judge_print(studio, TRIAL)
    assert first.verdict.reading == f"{TRIAL}-r1"
    assert first.by_eye is not None
    assert (first.by_eye.reading, second.by_eye) == (f"{TRIAL}-r2", first.by_eye)
    assert studio.verdicts.standing(TRIAL).id == second.verdict.id
    # Too few answers make no grade, and hinder nothing.
    answer_by_eye(studio, GOOD, answers_from({"creep": "no"}))
    assert judge_print(studio, GOOD).by_eye is None


def test_what_was_judged_beside_a_withdrawn_print_is_judged_without_it_and_back(studio: Bench) -> None:
    beside = judge_print(studio, TRIAL, against=GOOD).verdict
    done = withdraw_trial(studio, GOOD.lower())
    (alone,) = done.judged
    assert (alone.trial, alone.against) == (TRIAL, None)
    assert conclusion(studio.verdicts.standing(TRIAL)) == conclusion(alone)
    assert Message("bench.judged-without", count=1, trials=(TRIAL,)) in done.told
    with refused(NotFound, "bench.trial-withdrawn"):
        judge_print(studio, TRIAL, against=GOOD)
    with refused(NotFound, "bench.trial-withdrawn"):
        judge_print(studio, GOOD)
    back = withdraw_trial(studio, GOOD, back=True)
    assert [each.trial for each in back.judged] == [TRIAL]
    assert conclusion(studio.verdicts.standing(TRIAL)) == conclusion(beside)


def test_a_verdict_given_on_purpose_meanwhile_stays(studio: Bench) -> None:
    judge_print(studio, TRIAL, against=GOOD)
    other = studio.trials.add(readings.trial(name="0THER0NE"))
    studio.readings.add(readings.reading(more={"trial": other.id}, black=10.0))
    withdraw_trial(studio, GOOD)
    chosen = judge_print(studio, TRIAL, against=other.id).verdict
    assert withdraw_trial(studio, GOOD, back=True).judged == ()
    assert studio.verdicts.standing(TRIAL).id == chosen.id


def test_nothing_is_read_or_answered_of_a_withdrawn_trial(studio: Bench, tmp_path: Path) -> None:
    withdraw_trial(studio, TRIAL)
    with refused(BadRequest, "bench.trial-withdrawn"):
        read_back(studio, TRIAL, [])
    with refused(BadRequest, "bench.trial-withdrawn"):
        answer_by_eye(studio, TRIAL, answers())
    assert judge_all_again(studio, workers=1).judged == 1  # the other one
    withdraw_trial(studio, GOOD)
    with refused(NotFound, "judge.sides-unknown"):
        printable_side(studio, "Harbour Satin 300")


def test_the_catalogue_shows_the_trial_that_stands(studio: Bench, tmp_path: Path) -> None:
    judge_print(studio, TRIAL)
    judge_print(studio, GOOD)
    poor, good = (studio.verdicts.standing(each).grade for each in (TRIAL, GOOD))
    assert poor != good

    def index() -> str:
        write_site(studio, tmp_path / "site", ReportWishes(pictures=False, data=False), force=True)
        return (tmp_path / "site" / "index.html").read_text("utf-8")

    both = index()
    assert [each.id for each in studio.catalogue.standing()["Harbour Satin 300"]] == [GOOD]
    withdraw_trial(studio, GOOD)
    assert [each.id for each in studio.catalogue.standing()["Harbour Satin 300"]] == [TRIAL]
    one = index()
    assert both != one
    withdraw_trial(studio, TRIAL)
    assert "not tried yet" in index()
    assert "not tried yet" not in one


def test_a_scanner_counts_without_what_it_learnt_from_a_withdrawn_print(studio: Bench) -> None:
    model = ColourModel(
        kind="polynomial", degree=1, primaries=((1, 0, 0), (0, 1, 0), (0, 0, 1)), tone=(1, 1, 1), terms=()
    )

    def learnt(name: str, settings: str, trial: str | None = None) -> Characterisation:
        return Characterisation(
            way="own-inks",
            inks="Tern 8",
            surface="satin",
            stock="Harbour Satin 300",
            settings=settings,
            learned_at=datetime(2026, 3, 1, tzinfo=UTC),
            patches=20,
            model=model,
            de00_median=1,
            de00_p95=2,
            de00_rms=1,
            scan_sha256=name * 64,
            trial=trial,
        )

    by_trial, by_file = learnt("a", "300 ppi", TRIAL), learnt("b", "600 ppi")
    Scanners(studio.folder).keep(Scanner(name="flatbed", characterisations=(by_trial, by_file)))
    scan = studio.readings.add(
        readings.reading(more={"trial": GOOD}).model_copy(update={"source_sha256": "b" * 64})
    )
    trial = studio.trials.get(GOOD)

    def used() -> tuple[Characterisation, ...]:
        return scanner_use(studio, "flatbed", trial).scanner.characterisations

    assert used() == (by_trial, by_file)
    assert withdraw_trial(studio, TRIAL).scanners == ("flatbed",)
    assert used() == (by_file,)
    assert withdraw_reading(studio, scan.id or "").scanners == ("flatbed",)
    with refused(BadRequest, "scanner.learnt-from-withdrawn"):
        used()
    withdraw_trial(studio, TRIAL, back=True)
    assert used() == (by_trial,)


def test_an_archive_brings_withdrawals_and_what_rests_on_them_is_judged_again(
    studio: Bench, tmp_path: Path
) -> None:
    judge_print(studio, TRIAL, against=GOOD)
    export_stock(studio, "Harbour Satin 300", tmp_path / "before.zip")
    other = Bench.open(tmp_path / "other")
    take_in(other, tmp_path / "before.zip")
    assert other.verdicts.standing(TRIAL).against == GOOD
    # As an archive may have it: the verdict beside the withdrawn print was not given again there.
    studio.withdrawals.note(
        Withdrawal(kind="trial", subject=GOOD, withdrawn=True, noted_at=datetime.now(UTC))
    )
    export_stock(studio, "Harbour Satin 300", tmp_path / "after.zip")
    assert take_in(other, tmp_path / "after.zip").withdrawals == 1
    assert other.verdicts.standing(TRIAL).against is None


def test_a_count_is_taken_back_and_put_back(bench: Bench, kept: str) -> None:
    count_sheets(bench, kept, 1, {"good": 4})
    count_sheets(bench, kept, 1, {"good": 9, "spoiled": 2}, why="skewed")
    done = withdraw_count(bench, kept, 2, why="typed twice")
    assert [(each.good, each.spoiled) for each in done.batches] == [(4, 2)]
    assert [each.withdrawal is not None for each in done.counts] == [False, True, False]
    assert done.counts[1].withdrawal is not None
    assert done.counts[1].withdrawal.why == "typed twice"
    back = withdraw_count(bench, kept.lower(), 2, back=True)
    assert [(each.good, each.spoiled) for each in back.batches] == [(13, 2)]
    for number in (0, 4):
        with refused(NotFound, "bench.no-count"):
            withdraw_count(bench, kept, number)
    with refused(BadRequest, "bench.reason-too-long"):
        withdraw_count(bench, kept, 1, why="x" * 201)


def test_more_than_was_ordered_is_asked_about(bench: Bench, kept: str) -> None:
    count_sheets(bench, kept, 1, {"good": 30})
    with refused(BadRequest, "count.beyond-batch"):
        count_sheets(bench, kept, 1, {"good": 1})
    assert beyond_order(bench, kept, 1, {"spoiled": 400}) is None
    withdraw_count(bench, kept, 1)  # what was taken back is free again
    assert beyond_order(bench, kept, 1, {"good": 30}) is None
    said = beyond_order(bench, kept, 1, {"good": 405})
    assert said == Message("count.beyond-batch", batch=1, sheets=405, ordered=30)
    count_sheets(bench, kept, 1, {"good": 405}, beyond=True)
    assert [each.good for each in run_so_far(bench, kept).batches] == [405]


def test_what_is_said_after_the_clock_went_back_holds(studio: Bench) -> None:
    tomorrow = datetime.now(UTC) + timedelta(days=1)
    before = Withdrawal(kind="trial", subject=TRIAL, withdrawn=True, noted_at=tomorrow)
    assert studio.withdrawals.note(before)
    assert withdraw_trial(studio, TRIAL, back=True).is_new
    assert TRIAL in {each.id for each in studio.trials.list()}
    assert withdraw_trial(studio, TRIAL).is_new
    assert TRIAL not in {each.id for each in studio.trials.list()}
