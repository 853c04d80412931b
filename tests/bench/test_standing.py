"""What stands: which reading and verdict of a trial, which trial of a card, and nothing that was withdrawn.

The order of instrument, scan and answers by eye, and that the latest trial stands, are this project's own rules.
"""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta
from itertools import permutations
from pathlib import Path

import pytest

from tackside.bench.location import place_of
from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.repositories.measured import PrintedBy
from tackside.bench.store import Bench
from tackside.bench.transfer.backup import back_up
from tackside.bench.transfer.restore import restore
from tackside.errors import BadRequest, NotFound
from tackside.records import Placement
from tackside.records.run import KeptRun, Tally
from tackside.records.standing.withdrawal import Withdrawal, WithdrawnKind
from tests.bench import invented
from tests.refusals import refused

TRIAL, STOCK, PRINTER = "7K3M9QPA", "Harbour Satin 300", "Tern 8"
LATER = datetime(2026, 4, 1, tzinfo=UTC)


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """A stock, a printer and a trial that nothing was read of."""
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    return bench


def read(bench: Bench, kind: str, *, trial: str = TRIAL, grade: str | None = "sell") -> str:
    """A reading of a kind, and a verdict on it unless ``grade`` is None; the reading's id."""
    found = bench.readings.add(invented.reading(trial, kind=kind))
    if grade is not None:
        bench.verdicts.add(invented.verdict(trial, reading=found.id, grade=grade))
    return found.id or ""


def say(bench: Bench, kind: WithdrawnKind, subject: str, *, back: bool = False, minutes: int = 0) -> int:
    """Withdraw something, or put it back."""
    at = LATER + timedelta(minutes=minutes)
    return bench.withdrawals.note(Withdrawal(kind=kind, subject=subject, withdrawn=not back, noted_at=at))


@pytest.mark.parametrize("kinds", tuple(permutations(("instrument", "scan", "eye"))))
def test_an_instrument_stands_before_a_scan_before_answers_by_eye(
    bench: Bench, kinds: tuple[str, ...]
) -> None:
    readings = {kind: read(bench, kind) for kind in kinds}
    for kind in ("instrument", "scan", "eye"):
        assert bench.readings.standing(TRIAL).id == readings[kind]
        assert bench.verdicts.standing(TRIAL).reading == readings[kind]
        say(bench, "reading", readings[kind])
    assert bench.readings.find_standing(TRIAL) is None


def test_of_one_kind_the_later_reading_stands_and_its_last_verdict(bench: Bench) -> None:
    first, second = read(bench, "scan", grade="draft"), read(bench, "scan", grade="send")
    again = bench.verdicts.add(invented.verdict(reading=second, grade="sell"))
    assert bench.readings.standing(TRIAL).id == second
    assert bench.verdicts.standing(TRIAL).id == again.id
    # A verdict that was given later, on the earlier reading, does not come before it.
    bench.verdicts.add(invented.verdict(reading=first, grade="reject"))
    assert bench.verdicts.standing(TRIAL).id == again.id
    line = bench.catalogue.trials(ListAsked())[0][0]
    assert (line.grade, bench.catalogue.grades()) == ("sell", {TRIAL: "sell"})


def test_a_reading_that_was_not_judged_leaves_the_verdict_that_stands(bench: Bench) -> None:
    read(bench, "scan", grade="send")
    measured = read(bench, "instrument", grade=None)
    assert bench.readings.standing(TRIAL).id == measured
    assert bench.verdicts.standing(TRIAL).grade == "send"


def test_a_withdrawn_reading_falls_back_and_stays_in_the_history(bench: Bench) -> None:
    first, second = read(bench, "scan", grade="draft"), read(bench, "scan", grade="sell")
    say(bench, "reading", second)
    assert [each.id for each in bench.readings.list(TRIAL)] == [first]
    assert [each.grade for each in bench.verdicts.list(TRIAL)] == ["draft"]
    assert bench.verdicts.standing(TRIAL).grade == "draft"
    assert [each.id for each in bench.readings.list(TRIAL, withdrawn=True)] == [first, second]
    assert [each.grade for each in bench.verdicts.list(TRIAL, withdrawn=True)] == ["draft", "sell"]
    assert bench.readings.get(second).id == second
    assert bench.readings.get(f" {second.lower()}").id == second
    third = read(bench, "scan", grade=None)  # the numbers go on
    assert third == f"{TRIAL}-r3"
    say(bench, "reading", third, minutes=1)
    say(bench, "reading", second, back=True, minutes=1)
    assert bench.verdicts.standing(TRIAL).grade == "sell"


def test_what_is_left_of_a_trial_is_said(bench: Bench) -> None:
    with refused(NotFound, "bench.no-reading-yet"):
        bench.readings.standing(TRIAL)
    only = read(bench, "scan")
    say(bench, "reading", only)
    with refused(NotFound, "bench.all-readings-withdrawn"):
        bench.readings.standing(TRIAL)
    with refused(NotFound, "bench.all-verdicts-withdrawn"):
        bench.verdicts.standing(TRIAL)
    say(bench, "trial", TRIAL)
    with refused(NotFound, "bench.trial-withdrawn"):
        bench.readings.standing(TRIAL.lower())
    with refused(BadRequest, "bench.trial-withdrawn"):
        bench.trials.standing(TRIAL)
    assert bench.trials.get(TRIAL).id == TRIAL


def test_a_withdrawn_trial_is_in_no_answer(bench: Bench) -> None:
    placed = Placement(scale_x=1.0, scale_y=1.0, residual_um=10, marks_found=4)
    bench.readings.add(invented.reading(placement=placed))
    bench.verdicts.add(invented.verdict(reading=f"{TRIAL}-r1"))
    way = PrintedBy("rear", "front", (210, 297), borderless=True)

    def answers() -> tuple[object, ...]:
        lines, total = bench.catalogue.trials(ListAsked())
        (stock,), _ = bench.catalogue.stocks(ListAsked())
        (printer,), _ = bench.catalogue.printers(ListAsked())
        return (
            [each.id for each in bench.trials.list()], [each.id for each in lines], total,
            stock.trials, len(stock.standing), printer.trials, bench.catalogue.untried(),
            len(bench.readings.list()), len(bench.verdicts.list()), len(bench.measured.newest()),
            len(bench.measured.ways(STOCK, PRINTER)),
            len(bench.measured.placements(STOCK, PRINTER, way, within_mm=0.5)),
        )  # fmt: skip

    before = answers()
    assert before == ([TRIAL], [TRIAL], 1, 1, 1, 1, (), 1, 1, 1, 1, 1)
    say(bench, "trial", TRIAL)
    assert answers() == ([], [], 0, 0, 0, 0, (STOCK,), 0, 0, 0, 0, 0)
    (away,), _ = bench.catalogue.trials(ListAsked(archived=True))
    assert (away.id, away.withdrawn, away.grade) == (TRIAL, True, None)
    assert [each.id for each in bench.trials.list(withdrawn=True)] == [TRIAL]
    say(bench, "trial", TRIAL, back=True, minutes=1)
    assert answers() == before


def test_the_latest_trial_stands_for_its_side_and_not_the_best(bench: Bench) -> None:
    for number, (name, side, grade) in enumerate(
        [("T1", "front", "sell"), ("T2", "back", "reject"), ("T3", "front", "draft"), ("T4", "front", None)]
    ):
        made = invented.NOON + timedelta(days=number + 1)
        bench.trials.add(invented.trial(name, side=side, made_at=made))
        read(bench, "scan", trial=name, grade=grade)
    # It came last, from another bench, and was printed first.
    bench.trials.add(invented.trial("T5", made_at=invented.NOON - timedelta(days=9)))
    read(bench, "scan", trial="T5", grade="send")

    def told() -> list[tuple[str, str, str]]:
        (line,), _ = bench.catalogue.stocks(ListAsked())
        assert bench.catalogue.standing() == ({STOCK: line.standing} if line.standing else {})
        return [(each.side, each.id, each.grade) for each in line.standing]

    assert told() == [("front", "T3", "draft"), ("back", "T2", "reject")]
    say(bench, "reading", "T3-r1")
    assert told() == [("front", "T1", "sell"), ("back", "T2", "reject")]
    say(bench, "trial", "T1")
    say(bench, "trial", "T2")
    assert told() == [("front", "T5", "send")]


def test_a_count_that_was_withdrawn_is_in_no_sum(bench: Bench) -> None:
    made = KeptRun(
        name="Fair", folder="fair", file="fair.toml", file_sha256="0" * 64, made_at=LATER, batches=(), plan={}
    )
    run = bench.runs.add(made).id or ""
    for sheets in (4, 405):
        bench.runs.count(
            Tally(run=run, batch=1, stock=STOCK, printer=PRINTER, kind="good", sheets=sheets, made_at=LATER)
        )
    (_, wrong) = [subject for subject, _ in bench.runs.counts(run)]
    say(bench, "count", wrong)
    assert [each.sheets for each in bench.runs.tallies(run)] == [4]
    assert bench.runs.sheets(STOCK, PRINTER) == ((run, 1, "good", 4),)
    assert [each.sheets for _, each in bench.runs.counts(run)] == [4, 405]
    say(bench, "count", wrong, back=True, minutes=1)
    assert bench.runs.sheets(STOCK, PRINTER) == ((run, 1, "good", 409),)


def test_the_last_word_holds_whenever_it_came(bench: Bench) -> None:
    assert say(bench, "trial", TRIAL, back=True) == 0  # it was never withdrawn
    assert say(bench, "trial", TRIAL, minutes=2) == 1
    assert say(bench, "trial", TRIAL, minutes=3) == 0  # it is already
    assert say(bench, "trial", TRIAL, back=True, minutes=5) == 1
    assert say(bench, "trial", TRIAL, minutes=4) == 1  # from another bench, before it was put back here
    assert bench.withdrawals.of("trial", [TRIAL]) == {}
    assert [each.withdrawn for each in bench.withdrawals.history("trial", TRIAL)] == [True, True, False]
    assert bench.trials.list() != ()


def test_a_backup_carries_what_was_withdrawn(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    read(bench, "scan")
    say(bench, "reading", f"{TRIAL}-r1")
    back_up(place_of(bench.folder), tmp_path / "backup.zip")
    restore(tmp_path / "backup.zip", place_of(tmp_path / "again"))
    again = Bench.open(tmp_path / "again", create=False)
    assert again.readings.find_standing(TRIAL) is None
    assert set(again.withdrawals.of("reading", [f"{TRIAL}-r1"])) == {f"{TRIAL}-r1"}


def test_a_bench_of_an_earlier_form_has_everything_standing(tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    read(bench, "scan", grade="send")
    with sqlite3.connect(tmp_path / "bench" / "bench.sqlite") as database:  # the form that 0007 left
        database.executescript(";".join(invented.WITHOUT_DIGESTS))
        database.executescript(
            "DROP TABLE practice; DROP TABLE withdrawal; DROP INDEX ix_verdict_listing;"
            "CREATE INDEX ix_verdict_listing ON verdict (trial, seq, grade, cause);"
            "UPDATE alembic_version SET version_num = '0007';"
        )
    database.close()
    again = Bench.open(tmp_path / "bench")
    assert again.verdicts.standing(TRIAL).grade == "send"
    say(again, "trial", TRIAL)
    assert again.trials.list() == ()


def test_what_is_kept_after_the_clock_went_back_stands(tmp_path: Path) -> None:
    """Readings, verdicts and counts go by the order in which they came to the bench."""
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial())
    for at in (LATER, invented.NOON):
        reading = bench.readings.add(invented.reading(made_at=at))
        verdict = bench.verdicts.add(invented.verdict(reading=reading.id, made_at=at))
    assert bench.readings.standing(TRIAL).id == reading.id
    assert bench.verdicts.standing(TRIAL).id == verdict.id
