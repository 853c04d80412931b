"""A reading, a trial or a count taken out of every answer, or put back; what rested on it is judged again.

Nothing is deleted: what was withdrawn stays in the bench's history, its archives and backups.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from tackside.bench.store import Bench
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.messages.message import Message
from tackside.records import Verdict
from tackside.records.standing.withdrawal import Withdrawal, WithdrawnKind
from tackside.verdict.judge import judge
from tackside.workflow.rejudge import given_beside, known_as_before
from tackside.workflow.runs.count import RunSoFar, run_so_far
from tackside.workflow.scanners import scanners_resting_on

LONGEST_REASON = 200


@dataclass(frozen=True)
class Settled:
    """What came of withdrawing a reading or a trial, or of putting it back.

    ``is_new`` is False where nothing changed. ``stands``: the verdict of the trial that stands now, None for none.
    ``judged``: verdicts that had to be given anew, on this trial or on others that were judged beside it.
    ``scanners``: those learnt from it, which count without what they learnt there while it is withdrawn.
    """

    trial: str
    reading: str | None
    withdrawn: bool
    why: str | None
    is_new: bool
    stands: Verdict | None
    judged: tuple[Verdict, ...]
    scanners: tuple[str, ...]

    @property
    def told(self) -> tuple[Message, ...]:
        """All of it in sentences."""
        what = "trial" if self.reading is None else "reading"
        how = "withdrew" if self.withdrawn else "put-back"
        already = "" if self.is_new else "-already"
        said = [Message(f"bench.{how}-{what}{already}", id=self.reading or self.trial)]
        if self.stands is not None:
            stands = Message(f"verdict.grade.{self.stands.grade}")
            said.append(
                Message("bench.verdict-stands", trial=self.trial, verdict=self.stands.id, grade=stands)
            )
        elif self.reading is not None:
            said.append(Message("bench.no-verdict-stands", trial=self.trial))
        others = tuple(each.trial for each in self.judged if each.trial != self.trial)
        if others:
            said.append(Message("bench.judged-without", count=len(others), trials=others))
        if self.scanners and self.withdrawn:
            said.append(Message("bench.scanners-learnt-from-it", scanners=self.scanners))
        return tuple(said)


def withdraw_reading(bench: Bench, reading: str, *, why: str | None = None, back: bool = False) -> Settled:
    """Take a reading out of every answer, or put it ``back``; ``why`` is a reason in the person's words.

    The trial falls back to the reading that stands then, which is judged where it was not yet. Raises NotFound,
    BadRequest for too long a reason.
    """
    found = bench.readings.get(reading)
    if found.id is None or found.trial is None:
        raise NotFound("bench.no-reading", id=reading)
    return _changed(bench, found.trial, found.id, why=why, back=back)


def withdraw_trial(bench: Bench, trial: str, *, why: str | None = None, back: bool = False) -> Settled:
    """Take a trial with all its readings and verdicts out of every answer, or put it ``back``. Raises NotFound,
    BadRequest for too long a reason."""
    return _changed(bench, bench.trials.get(trial).id, None, why=why, back=back)


def withdraw_count(
    bench: Bench, run: str, number: int, *, why: str | None = None, back: bool = False
) -> RunSoFar:
    """Take back what was counted for a run, by its ``number`` there, or count it again; how far the run is then.

    Raises NotFound for a run or a number that is not there, BadRequest for too long a reason.
    """
    counts = run_so_far(bench, run).counts
    found = next((each for each in counts if each.number == number), None)
    if found is None:
        raise NotFound("bench.no-count", run=bench.runs.get(run).id, number=number, count=len(counts))
    _note(bench, "count", found.subject, why, back)
    return run_so_far(bench, run)


def settle(bench: Bench, trial: str, since: datetime | None = None) -> tuple[Verdict, ...]:
    """Judge what has to be judged anew once a trial, or a reading of it, was withdrawn or put back.

    The trial's own reading that stands, where the trial was judged and this reading never was; and each trial whose
    verdict rests on this one, or rested on it until it was withdrawn (``since`` then).
    """
    judged = []
    standing = bench.readings.find_standing(trial)
    verdicts = bench.verdicts.list(trial, withdrawn=True)
    if standing is not None and verdicts and all(each.reading != standing.id for each in verdicts):
        judged.append(_again(bench, trial, verdicts[-1]))
    for other in bench.verdicts.trials_beside(trial):
        before = _rested_on(bench, other, trial, since)
        if before is not None:
            judged.append(_again(bench, other, before))
    return tuple(each for each in judged if each is not None)


def _changed(bench: Bench, trial: str, reading: str | None, *, why: str | None, back: bool) -> Settled:
    kind: WithdrawnKind = "trial" if reading is None else "reading"
    subject = reading or trial
    since = next((each.noted_at for each in bench.withdrawals.of(kind, [subject]).values()), None)
    before = bench.readings.find_standing(trial)
    is_new = _note(bench, kind, subject, why, back)
    now = bench.readings.find_standing(trial)
    moved = (before and before.id) != (now and now.id)
    return Settled(
        trial=trial, reading=reading, withdrawn=not back, why=why, is_new=is_new,
        judged=settle(bench, trial, since) if is_new and moved else (),
        stands=bench.verdicts.find_standing(trial), scanners=scanners_resting_on(bench, trial, reading),
    )  # fmt: skip


def _note(bench: Bench, kind: WithdrawnKind, subject: str, why: str | None, back: bool) -> bool:
    reason = (why or "").strip() or None
    if reason is not None and len(reason) > LONGEST_REASON:
        raise BadRequest("bench.reason-too-long", most=LONGEST_REASON)
    # What is said now comes after what was said before, also where the computer's clock went back meanwhile.
    known = bench.withdrawals.history(kind, subject)
    now = max([datetime.now(UTC), *(each.noted_at + timedelta(microseconds=1) for each in known)])
    word = Withdrawal(kind=kind, subject=subject, withdrawn=not back, why=reason, noted_at=now)
    return bench.withdrawals.note(word) > 0


def _rested_on(bench: Bench, other: str, trial: str, since: datetime | None) -> Verdict | None:
    """The verdict by which another trial is to be judged again: the one that stands, where it was given beside this
    trial; or the one before it on the same reading, where that was replaced because this trial was withdrawn."""
    last = bench.verdicts.find_standing(other)
    if last is None or _is_beside(last, trial):
        return last
    on_same = [each for each in bench.verdicts.list(other) if each.reading == last.reading]
    before = next((one for one, after in pairwise(on_same) if after.id == last.id), None)
    if before is None or since is None or last.made_at < since or not _is_beside(before, trial):
        return None
    kept = (last.against or before.against) == before.against
    return before if kept and (last.other_side or before.other_side) == before.other_side else None


def _is_beside(verdict: Verdict, trial: str) -> bool:
    return trial in (verdict.against, verdict.other_side)


def _again(bench: Bench, trial: str, before: Verdict) -> Verdict | None:
    """The verdict on the reading that stands, beside what ``before`` was given beside, as far as that stands; kept.

    None where it can't be judged: answers too few for a grade, a strip without black.
    """
    try:
        known = known_as_before(bench, bench.trials.get(trial), before)
        verdict = judge(known)
    except (BadRequest, BadProfile, NotFound):
        return None
    if known.prediction is not None:
        profile = {name: each for name, each in given_beside(before).items() if name.startswith("profile")}
        verdict = verdict.model_copy(update=profile)
    return bench.verdicts.add(verdict)
