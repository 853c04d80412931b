"""The practice press: what it prints is read as any print, marked, and never counts."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound
from tackside.records import Cause, Stock
from tackside.records.standing.practice import PracticePrint
from tackside.workflow.arrived.by_tag import sorted_by_tag
from tackside.workflow.judge import judge_print
from tackside.workflow.pictures.read_cards import newest_readings, reading_of
from tackside.workflow.practice.practise import begin_practice, drawn_practice, practise, reveal, revealed
from tackside.workflow.practice.press import faults_for
from tackside.workflow.read import read_print
from tackside.workflow.report import HTML, ReportWishes, report_on
from tackside.workflow.sent_files import SentFile
from tackside.workflow.stocks.describe import described_printer
from tackside.workflow.stocks.questions import PRINTER, understood
from tackside.workflow.trials import make_trial
from tests.extent import share

# The smallest sheet that a printer of 300 ppi takes: quick to print and read.
SMALL = Stock(name="Fulmar Matt 230", base="matt", open_size_mm=(105, 148))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench.open(tmp_path / "bench")
    made.stocks.add(SMALL)
    typed = {"name": "Tern 3", "largest": "A4", "grid": "300"}
    answers = {each.key: understood(each, typed.get(each.key, "")) for each in PRINTER}
    made.printers.add(
        described_printer({key: one for key, one in answers.items() if one is not None}).printer
    )
    return made


@pytest.fixture
def real(bench: Bench) -> str:
    return make_trial(bench, SMALL.name, "Tern 3").trial.id


def test_practice_leaves_no_trace_in_what_counts(
    bench: Bench, real: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("secrets.randbelow", lambda below: 123_456)  # the same print in every run
    scan = tmp_path / "scan.tif"
    made = practise(bench, real, scan, fault="scaling")
    trial = made.trial
    assert trial.practice
    assert list(sorted_by_tag([SentFile.at(scan)]).by_trial) == [
        trial.id
    ]  # the sheet itself says whose it is
    read_print(bench, trial.id, [SentFile.at(scan)])
    judged = judge_print(bench, trial.id)
    assert judged.verdict.cause == "scaling"
    assert judged.head.door is None  # no card is made on the strength of it
    # Lists, sums and choices do not know it.
    assert [each.id for each in bench.trials.list()] == [real]
    assert [each.id for each in bench.trials.list(withdrawn=True)] == [real]
    assert [each.id for each in bench.trials.list(practice=True)] == [trial.id]
    assert [each.id for each in bench.catalogue.trials(ListAsked())[0]] == [real]
    assert [each.id for each in bench.catalogue.trials(ListAsked(practice=True))[0]] == [trial.id]
    assert bench.catalogue.standing() == {}
    assert bench.catalogue.untried() == ()  # the real trial alone makes it tried
    assert bench.catalogue.stocks(ListAsked())[0][0].trials == 1
    assert newest_readings(bench) == ()
    assert bench.measured.ways(SMALL.name, "Tern 3") == ()
    with pytest.raises(BadRequest, match="says nothing of a real card"):
        reading_of(bench, trial.id)
    # Beside real prints it does not go; alone its report says what it is.
    with pytest.raises(BadRequest, match="say nothing of each other"):
        _beside(bench, trial.id, real, scan)
    page = report_on(bench, [trial.id], HTML, ReportWishes(pictures=False, data=False)).decode()
    assert f"{SMALL.name} (practice)" in page
    assert "Nothing here says anything of a real card" in page
    told = reveal(bench, trial.id, "alignment")
    assert (told.fault, told.guessed_right, told.verdict_right) == ("scaling", False, True)
    again = reveal(bench, trial.id, "scaling")
    assert not again.first
    first = revealed(bench, trial.id)
    assert first is not None
    assert first.guess == "alignment"  # the first guess counts


def _beside(bench: Bench, practice: str, real: str, scan: Path) -> None:
    """A real trial with a reading, set beside practice."""
    reading = bench.readings.standing(practice)
    bench.readings.add(reading.model_copy(update={"trial": real, "id": None}))
    judge_print(bench, real, against=practice)


def test_a_hidden_fault_is_told_nowhere_before_it_is_revealed(bench: Bench, real: str) -> None:
    trial, printed = begin_practice(bench, real)
    assert printed.hidden
    kept = bench.trials.get(trial.id).model_dump_json()
    assert '"fault"' not in kept
    assert revealed(bench, trial.id) is None
    assert reveal(bench, trial.id).guessed_right is None


def test_the_lot_falls_among_all_faults_that_the_sheet_can_show_and_others_are_refused(
    bench: Bench, real: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    lots: list[tuple[Cause, ...]] = []

    def last(faults: tuple[Cause, ...]) -> Cause:
        lots.append(faults)
        return faults[-1]

    monkeypatch.setattr("secrets.choice", last)
    assert drawn_practice(bench, real)[1].fault == "scaling"
    known = faults_for(bench.trials.get(real).sheet)
    assert lots == [known]
    assert "narrow-read-as-wide" in known
    with pytest.raises(BadRequest, match="cannot show the fault"):
        drawn_practice(bench, real, fault="wide-read-as-narrow")


def test_practice_changes_no_id_of_a_real_trial(bench: Bench, real: str, tmp_path: Path) -> None:
    other = Bench.open(tmp_path / "other")
    other.stocks.add(SMALL)
    other.printers.add(bench.printers.get("Tern 3"))
    make_trial(other, SMALL.name, "Tern 3")
    begin_practice(bench, real)
    assert (
        make_trial(bench, SMALL.name, "Tern 3").trial.id == make_trial(other, SMALL.name, "Tern 3").trial.id
    )


def test_the_truth_of_a_real_trial_is_not_on_the_bench(bench: Bench, real: str) -> None:
    with pytest.raises(NotFound, match="is no practice trial"):
        reveal(bench, real)


def test_practice_of_practice_is_of_the_first_sheet(bench: Bench, real: str) -> None:
    trial, _ = begin_practice(bench, real, fault="none")
    _, printed = begin_practice(bench, trial.id, fault="none")
    assert isinstance(printed, PracticePrint)
    assert printed.of == real


@pytest.mark.slow
@pytest.mark.parametrize("fault", share(["none", "too-much-ink", "missing-ink", "scaling"], 2))
def test_a_fault_can_be_found_and_the_scan_itself_is_sound(
    bench: Bench, fault: Cause, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Examiner and teacher of the verdict know nothing of this press; it is practice that must be fair, no study."""
    monkeypatch.setattr("secrets.randbelow", lambda below: 123_456)  # the same print in every run
    bench.stocks.add(
        SMALL.model_copy(update={"name": "Fulmar Satin 260", "base": "photo", "open_size_mm": (148, 210)})
    )
    sheet = make_trial(bench, "Fulmar Satin 260", "Tern 3").trial
    made = practise(bench, sheet.id, tmp_path / "scan.tif", fault=fault)
    reading = read_print(bench, made.trial.id, [SentFile.at(made.files[0])])
    assert reading.flaws == ()
    assert judge_print(bench, made.trial.id).verdict.cause == fault
