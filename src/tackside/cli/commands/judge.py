"""``tackside judge``: how good a print is, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.records import Reading, Trial, Verdict
from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.verdict_page import verdict_page
from tackside.errors import BadRequest
from tackside.reading.instrument import read_instrument_file
from tackside.verdict import judge as give_verdict
from tackside.verdict import paper_classes, tint_words


def judge(
    trial: Annotated[str | None, Parameter(help="Id of the trial, as printed on its sheet.")] = None,
    *,
    against: Annotated[
        str | None, Parameter(help="A trial to compare with: a print known to be good.")
    ] = None,
    data: Annotated[Path | None, Parameter(help="Judge this instrument file (CGATS or CxF) alone.")] = None,
) -> Outcome:
    """Say how good a print is, and why.

    Judges the latest reading of a trial and keeps the verdict on the bench, or judges a bare instrument file.
    """
    if (trial is None) == (data is None):
        raise BadRequest(
            "judge takes either a trial or --data FILE",
            "name one of them, as: tackside judge TRIAL, or tackside judge --data chart.txt",
        )
    if data is not None:
        if against is not None:
            raise BadRequest(
                "--against compares trials, and a bare file is none", "judge the file without --against"
            )
        reading = read_instrument_file(data)
        return _outcome(give_verdict(reading), reading, f"Verdict on {data.name}")
    return _judge_trial(trial or "", against)


def _judge_trial(name: str, against: str | None) -> Outcome:
    bench = Bench.open(bench_folder(), create=False)
    trial, reading = _trial_and_reading(bench, name)
    reference_trial, reference = _trial_and_reading(bench, against) if against is not None else (None, None)
    if reference_trial is not None and reference_trial.id == trial.id:
        raise BadRequest(f"--against names {trial.id} itself", "name another trial")
    verdict = bench.verdicts.add(
        give_verdict(
            reading,
            trial=trial,
            stock=bench.stocks.get(trial.stock, trial.stock_revision),
            printer=bench.printers.get(trial.printer, trial.printer_revision),
            reference=reference,
            reference_trial=reference_trial,
        )
    )
    return _outcome(verdict, reading, f"Verdict on trial {trial.id}: {trial.stock}, {trial.side} side")


def _trial_and_reading(bench: Bench, name: str) -> tuple[Trial, Reading]:
    trial = bench.trials.get(name)
    return trial, bench.readings.latest(trial.id)


def _outcome(verdict: Verdict, reading: Reading, title: str) -> Outcome:
    return Outcome(document(verdict, reading), verdict_page(verdict, title))


def document(verdict: Verdict, reading: Reading) -> dict[str, Any]:
    """The verdict as plain data: bare measures; their uncertainties and methods under the same names."""
    plain = verdict.model_dump(mode="json")
    measures = plain.pop("measures")
    paper = verdict.measures["paper_lab"]
    white = paper.value if isinstance(paper.value, tuple) else (paper.value, 0.0, 0.0)
    return {
        "verdict": plain.pop("id"),
        **plain,
        "source": reading.source_name,
        "measures": {name: measure["value"] for name, measure in measures.items()},
        "units": {name: measure["unit"] for name, measure in measures.items()},
        "uncertainties": {name: measure["sd"] for name, measure in measures.items()},
        "methods": {name: measure["method"] for name, measure in measures.items()},
        "paper": {"tint": tint_words(white), "classes": list(paper_classes(white))},
    }
