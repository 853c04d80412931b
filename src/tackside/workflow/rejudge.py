"""All prints of a bench judged again by this version, on all cores or on a cluster."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.records import Reading, Stock, Trial, Verdict
from tackside.tasks.parallel import spread
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.workflow.judge import known_print
from tackside.workflow.progress import Progress, counted, unheard


@dataclass(frozen=True)
class Changed:
    """A print on which the verdict is another than before; ``was`` is None where there was none."""

    now: Verdict
    was: Verdict | None


@dataclass(frozen=True)
class Rejudged:
    judged: int
    changed: tuple[Changed, ...]


def judge_all_again(
    bench: Bench,
    *,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress = unheard,
) -> Rejudged:
    """Judge the newest reading of every trial again, beside the same print as before; keep what comes out otherwise.

    Earlier verdicts stay. A run that was stopped goes on where it was. ``workers`` and ``cluster`` say where the work
    is done (``tasks.parallel``).
    """
    trials = [trial for trial in bench.trials.list() if bench.readings.list(trial.id)]
    lasts = [_last(bench, trial.id) for trial in trials]
    known = [_as_before(bench, trial, last) for trial, last in zip(trials, lasts, strict=True)]
    found = spread(
        judge_again,
        [as_plain(each) for each in known],
        workers=workers,
        cluster=cluster,
        finished=bench.folder / "cache" / "rejudge",
        tell=counted(progress, "progress.judged"),
    )
    changed = []
    for each, last, plain in zip(known, lasts, found, strict=True):
        now = Verdict.model_validate(plain).model_copy(
            update={"reading": each.reading.id, "against": last.against if last else None}
        )
        if last is None or _conclusion(now) != _conclusion(last):
            kept = bench.verdicts.add(now.model_copy(update={"made_at": datetime.now(UTC)}))
            changed.append(Changed(kept, last))
    return Rejudged(len(trials), tuple(changed))


def judge_again(given: dict[str, Any]) -> dict[str, Any]:
    """The verdict on a print given ``as_plain``, as plain data and dated by its reading: same in, same out.

    A piece of work for any process, here or elsewhere.
    """
    known = _from_plain(given)
    return judge(known, made_at=known.reading.made_at).model_dump(mode="json")


def as_plain(known: KnownPrint) -> dict[str, Any]:
    """A print and the good one beside it, as data that any process takes."""
    plain: dict[str, Any] = {"reading": known.reading.model_dump(mode="json")}
    if known.trial is not None:
        plain["trial"] = known.trial.model_dump(mode="json")
    if known.stock is not None:
        plain["stock"] = known.stock.model_dump(mode="json")
    if known.reference is not None:
        plain["reference"] = as_plain(known.reference)
    return plain


def _from_plain(given: dict[str, Any]) -> KnownPrint:
    return KnownPrint(
        Reading.model_validate(given["reading"]),
        trial=Trial.model_validate(given["trial"]) if "trial" in given else None,
        stock=Stock.model_validate(given["stock"]) if "stock" in given else None,
        reference=_from_plain(given["reference"]) if "reference" in given else None,
    )


def _as_before(bench: Bench, trial: Trial, last: Verdict | None) -> KnownPrint:
    """What is known of a print now, beside the print that it was judged against before."""
    if last is not None and last.against is not None:
        try:
            return known_print(bench, trial, against=last.against)
        except NotFound:  # it stayed on the bench that the trial came from
            pass
    return known_print(bench, trial)


def _last(bench: Bench, trial: str) -> Verdict | None:
    found = bench.verdicts.list(trial)
    return found[-1] if found else None


def _conclusion(verdict: Verdict) -> dict[str, Any]:
    """A verdict without what only says when and where it was given."""
    return verdict.model_dump(mode="json", exclude={"id", "made_at", "reading", "against"})
