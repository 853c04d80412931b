"""Judging several prints: each for itself, as always, and those made in one way together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound, TacksideError
from tackside.records.together import PrintsTogether, StandsAlone
from tackside.records.verdict import ProfileOf
from tackside.verdict.judge import judge_with_finding
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.together.grouping import grouped
from tackside.verdict.together.judge import OneOfGroup, judge_group
from tackside.workflow.judge import Judged, answers_beside, keep_verdict, known_print, require_alike


@dataclass(frozen=True)
class JudgedTogether:
    """``judged``: each print for itself, in the order asked for. ``groups``: of those printed in one way, what they say
    together; ``alone``: which of them no other was printed like, and why. ``faults``: trials that could not be judged.
    """

    judged: tuple[Judged, ...]
    groups: tuple[PrintsTogether, ...]
    alone: tuple[StandsAlone, ...]
    faults: tuple[tuple[str, TacksideError], ...] = ()


def judge_prints(
    bench: Bench,
    trials: Sequence[str],
    *,
    against: str | None = None,
    profile: Path | None = None,
    profile_of: ProfileOf = "class",
) -> JudgedTogether:
    """The verdicts on the readings that stand of several trials, kept on the bench, and what groups of them share.

    ``against``, ``profile`` and ``profile_of``: what each is set beside, as ``judge_print`` has it. One that is not on
    the bench or was not read does not keep the others from being judged. Raises BadRequest, BadProfile.
    """
    known: dict[str, KnownPrint] = {}
    faults: list[tuple[str, TacksideError]] = []
    for name in dict.fromkeys(trials):
        try:
            trial = bench.trials.get(name)
            if trial.id not in known:
                known[trial.id] = known_print(
                    bench, trial, against=against, profile=profile, profile_of=profile_of
                )
        except (NotFound, BadRequest) as error:
            faults.append((name, error))
    require_alike(bench.trials.get(each) for each in known)
    prints: list[OneOfGroup] = []
    for trial_id, each in list(known.items()):
        try:
            prints.append(_judged(each))
        except BadRequest as error:  # too few answers by eye
            faults.append((trial_id, error))
            del known[trial_id]
    judged = tuple(
        Judged(
            keep_verdict(bench, one.verdict, profile, profile_of),
            each,
            by_eye=answers_beside(bench, each.reading),
        )
        for one, each in zip(prints, known.values(), strict=True)
    )
    return JudgedTogether(judged, *_together(prints), faults=tuple(faults))


def seen_together(bench: Bench, trials: Sequence[str]) -> JudgedTogether:
    """The same of trials that were judged before, beside what each was judged beside; nothing is kept. Raises
    NotFound."""
    from tackside.workflow.rejudge import known_as_before  # which the command has no need of

    found = {trial.id: trial for trial in map(bench.trials.get, trials)}
    require_alike(found.values())
    known = [
        known_as_before(bench, trial, bench.verdicts.find_standing(trial.id)) for trial in found.values()
    ]
    prints = [_judged(each) for each in known]
    judged = tuple(Judged(one.verdict, each) for one, each in zip(prints, known, strict=True))
    return JudgedTogether(judged, *_together(prints))


def _judged(known: KnownPrint) -> OneOfGroup:
    assert known.trial is not None  # both ways to a known print begin with its trial
    return OneOfGroup(known.trial, known.reading, *judge_with_finding(known))


def _together(
    prints: Sequence[OneOfGroup],
) -> tuple[tuple[PrintsTogether, ...], tuple[StandsAlone, ...]]:
    ways = grouped([one.trial for one in prints])
    return tuple(judge_group([prints[at] for at in members]) for members in ways.groups), ways.alone
