"""All that was ever found out about a trial: which of it stands, and what was withdrawn, when and why."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.records import Reading, Verdict
from tackside.records.standing.withdrawal import Withdrawal


@dataclass(frozen=True)
class KeptReading:
    """A reading, and the word by which it was withdrawn."""

    reading: Reading
    withdrawal: Withdrawal | None


@dataclass(frozen=True)
class KeptVerdict:
    """A verdict: the one of the trial that stands, or given on a reading that was withdrawn, or neither."""

    verdict: Verdict
    stands: bool
    is_withdrawn: bool


@dataclass(frozen=True)
class TrialHistory:
    """Readings and verdicts, oldest first, and the one of each that stands; ``withdrawal`` is that of the whole trial.

    ``by_eye``: the verdict on the newest answers by eye, where it is beside that on a scan or an instrument's reading.
    """

    readings: tuple[KeptReading, ...]
    verdicts: tuple[KeptVerdict, ...]
    withdrawal: Withdrawal | None
    by_eye: Verdict | None
    standing: Reading | None
    stands: Verdict | None


def history_of(bench: Bench, trial: str) -> TrialHistory:
    """The whole history of a trial by its id, as the bench keeps it."""
    readings = bench.readings.list(trial, withdrawn=True)
    verdicts = bench.verdicts.list(trial, withdrawn=True)
    away = bench.withdrawals.of("reading", [each.id or "" for each in readings])
    stands = bench.verdicts.find_standing(trial)
    standing = bench.readings.find_standing(trial)
    measured = standing is not None and standing.kind != "eye"
    eyes = {each.id for each in readings if each.kind == "eye" and each.id not in away}
    return TrialHistory(
        tuple(KeptReading(each, away.get(each.id or "")) for each in readings),
        tuple(
            KeptVerdict(each, stands is not None and each.id == stands.id, each.reading in away)
            for each in verdicts
        ),
        bench.withdrawals.of("trial", [trial]).get(trial),
        next((each for each in reversed(verdicts) if measured and each.reading in eyes), None),
        standing,
        stands,
    )
