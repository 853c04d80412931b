"""All prints of a bench judged again by this version, on all cores or on a cluster."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from tackside.bench.store import Bench
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.records import Reading, Stock, Trial, Verdict
from tackside.tasks.parallel import spread
from tackside.verdict.causes.by_profile import Prediction
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.workflow.judge import known_print
from tackside.workflow.progress import Progress, counted, unheard

SAME = 1e-9
_PREDICTION = TypeAdapter(Prediction)
# What a verdict was given beside its print.
_BESIDE = ("against", "other_side", "profile_sha256", "profile_of")


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
    """Judge the reading of every trial that stands again, beside the same prints or profile as before; keep what comes
    out otherwise.

    Earlier verdicts stay as history. A run that was stopped goes on where it was. ``workers`` and ``cluster`` say where
    the work is done (``tasks.parallel``).
    """
    trials = [trial for trial in bench.trials.list() if bench.readings.list(trial.id)]
    lasts = [bench.verdicts.find_standing(trial.id) for trial in trials]
    known = [known_as_before(bench, trial, last) for trial, last in zip(trials, lasts, strict=True)]
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
            update={"reading": each.reading.id, **(given_beside(last) if last else {})}
        )
        if last is None or not _alike(_conclusion(now), _conclusion(last)):
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
    """A print and all that stands beside it, as data that any process takes."""
    plain: dict[str, Any] = {"reading": known.reading.model_dump(mode="json")}
    if known.trial is not None:
        plain["trial"] = known.trial.model_dump(mode="json")
    if known.stock is not None:
        plain["stock"] = known.stock.model_dump(mode="json")
    if known.reference is not None:
        plain["reference"] = as_plain(known.reference)
    if known.other_side is not None:
        plain["other_side"] = as_plain(known.other_side)
    if known.prediction is not None:
        plain["prediction"] = _PREDICTION.dump_python(known.prediction, mode="json")
    return plain


def _from_plain(given: dict[str, Any]) -> KnownPrint:
    return KnownPrint(
        Reading.model_validate(given["reading"]),
        trial=Trial.model_validate(given["trial"]) if "trial" in given else None,
        stock=Stock.model_validate(given["stock"]) if "stock" in given else None,
        reference=_from_plain(given["reference"]) if "reference" in given else None,
        other_side=_from_plain(given["other_side"]) if "other_side" in given else None,
        prediction=_PREDICTION.validate_python(given["prediction"]) if "prediction" in given else None,
    )


def known_as_before(bench: Bench, trial: Trial, last: Verdict | None) -> KnownPrint:
    """What is known of a print now, beside what it was judged beside before, as far as the bench still has it."""
    if last is None:
        return known_print(bench, trial)
    profile = None if last.profile_sha256 is None else _file_of(bench, last.profile_sha256)
    against, other_side = _still_read(bench, last.against), _still_read(bench, last.other_side)
    if profile is not None:
        try:
            known = known_print(
                bench, trial, other_side=other_side, profile=profile, profile_of=last.profile_of or "class"
            )
        except (
            BadProfile,
            BadRequest,
        ):  # nothing to predict: the newest reading is by eye, or the settings are others
            pass
        else:
            return _dated(known)
    return known_print(bench, trial, against=against, other_side=other_side)


def _still_read(bench: Bench, trial: str | None) -> str | None:
    """The trial where the bench has a reading of it; None where it stayed on the bench that a judged one came from."""
    try:
        return None if trial is None else bench.readings.standing(bench.trials.get(trial).id).trial
    except NotFound:
        return None


def _file_of(bench: Bench, sha256: str) -> Path | None:
    try:
        return bench.file(sha256)
    except NotFound:
        return None


def _dated(known: KnownPrint) -> KnownPrint:
    """With a prediction of the reading's own date, so that the same print is the same piece of work."""
    if known.prediction is None:
        return known
    reading = known.prediction.reading.model_copy(update={"made_at": known.reading.made_at})
    return replace(known, prediction=replace(known.prediction, reading=reading))


def _conclusion(verdict: Verdict) -> dict[str, Any]:
    """A verdict without what only says when and where it was given."""
    return verdict.model_dump(mode="json", exclude={"id", "made_at", "reading", *_BESIDE})


def _alike(one: Any, other: Any) -> bool:
    """Whether plain data are the same but for how another process rounds: sums of floats depend on how many threads
    there are.
    """
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=SAME, abs_tol=SAME)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_alike, one, other))
    return bool(one == other)


def given_beside(verdict: Verdict) -> dict[str, str | None]:
    return {name: getattr(verdict, name) for name in _BESIDE}
