"""``tackside bench rejudge``: all readings judged again by this version, on all cores or on a cluster."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.spreading import HERE, Spreading, told
from tackside.errors import NotFound
from tackside.records import Trial, Verdict


def rejudge(*, spreading: Spreading = HERE) -> Outcome:
    """Judge the newest reading of every trial again; keep the verdicts that come out otherwise than before.

    A run that was stopped goes on where it was. Earlier verdicts stay.
    """
    from tackside.tasks.parallel import spread
    from tackside.verdict.again import judge_again

    spreading.refuse_nonsense()
    bench = Bench.open(bench_folder(), create=False)
    trials = [trial for trial in bench.trials.list() if bench.readings.list(trial.id)]
    found = list(
        spread(
            judge_again,
            [_asked(bench, trial) for trial in trials],
            workers=spreading.workers,
            cluster=spreading.cluster,
            finished=bench.folder / "cache" / "rejudge",
            tell=told("judged"),
        )
    )
    changed = []
    for trial, plain in zip(trials, found, strict=True):
        last = _last(bench, trial.id)
        now = Verdict.model_validate(plain).model_copy(
            update={"reading": bench.readings.latest(trial.id).id, "against": last.against if last else None}
        )
        if last is None or _conclusion(now) != _conclusion(last):
            kept = bench.verdicts.add(now.model_copy(update={"made_at": datetime.now(UTC)}))
            was = {"grade": last.grade, "cause": last.cause} if last else None
            changed.append({"trial": trial.id, "grade": kept.grade, "cause": kept.cause, "was": was})
    document = {"judged": len(trials), "changed": changed}
    return Outcome(document, f"Judged {len(trials)} trials again; {len(changed)} came out otherwise.")


def _asked(bench: Bench, trial: Trial) -> dict[str, Any]:
    asked: dict[str, Any] = {
        "trial": trial.model_dump(mode="json"),
        "reading": bench.readings.latest(trial.id).model_dump(mode="json"),
        "stock": bench.stocks.get(trial.stock, trial.stock_revision).model_dump(mode="json"),
        "printer": bench.printers.get(trial.printer, trial.printer_revision).model_dump(mode="json"),
    }
    last = _last(bench, trial.id)
    if last is not None and last.against is not None:
        try:
            reference_trial = bench.trials.get(last.against)
            asked["reference"] = bench.readings.latest(reference_trial.id).model_dump(mode="json")
            asked["reference_trial"] = reference_trial.model_dump(mode="json")
        except NotFound:  # it stayed on the bench that the trial came from
            pass
    return asked


def _last(bench: Bench, trial: str) -> Verdict | None:
    found = bench.verdicts.list(trial)
    return found[-1] if found else None


def _conclusion(verdict: Verdict) -> dict[str, Any]:
    """A verdict without what only says when and where it was given."""
    return verdict.model_dump(mode="json", exclude={"id", "made_at", "reading", "against"})
