"""The examination: prints judged in blocks, spread over processes, and counted by what the verdict must reach."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from time import process_time
from typing import Any, get_args

import numpy as np

from tackside.records.verdict import GRADES, Cause, Grade, Verdict
from tackside.tasks.parallel import spread
from tackside.verdict.judge import judge
from training.counting import (
    Judged,
    calibration_error,
    chance_of,
    confusion,
    share_accused,
    share_right,
)
from training.examiner.examined import Examined, Way, at_hand, examined
from training.examiner.scenes import Beside
from training.examiner.works import FAMILIES, Family

# Prints of one block; each block has a seed of its own, so that the figures hang on no process.
BLOCK: dict[Way, int] = {"figures": 48, "eye": 48, "image": 12}
HEAD = (
    "| what | prints | named right, of those moved | sound accused | sound below send | bare above draft | ECE |"
    " processor time, p95 |\n"
    "| --- | --- | --- | --- | --- | --- | --- | --- |"
)


@dataclass(frozen=True)
class Marked(Judged):
    """One print of the examination beside its verdict; fields as of ``Examined``."""

    grade: Grade
    family: Family
    work: str
    way: Way
    by: str
    moved_de00: float
    sound_good: bool
    uncoated_sound: bool

    @property
    def counts(self) -> bool:
        """Whether there is something to name: a fault that moved the print, or none at all."""
        return self.moved or self.truth == ("none",)


def marked(one: Examined) -> Marked:
    """The verdict on one print, and the processor time that it took."""
    start = process_time()
    verdict = judge(one.known)
    return mark_of(one, verdict, process_time() - start)


def mark_of(one: Examined, verdict: Verdict, seconds: float) -> Marked:
    return Marked(
        truth=one.truth,
        moved=one.moved,
        beside=one.beside,
        cause=verdict.cause,
        probability=chance_of(verdict),
        seconds=seconds,
        grade=verdict.grade,
        family=one.family,
        work=one.work,
        way=one.way,
        by=one.by,
        moved_de00=one.moved_de00,
        sound_good=one.sound_good,
        uncoated_sound=one.uncoated_sound,
    )


def mark_block(asked: dict[str, Any]) -> dict[str, Any]:
    """``count`` prints from ``seed`` on, judged, as plain data."""
    families = tuple(asked["families"])
    prints = examined(asked["way"], asked["beside"], asked["count"], asked["seed"], families)
    return {"marked": [asdict(marked(one)) for one in prints]}


def study(
    count: int,
    seed: int,
    *,
    way: Way = "figures",
    beside: Beside | None = None,
    families: tuple[Family, ...] = FAMILIES,
    workers: int | None = None,
    finished: Path | None = None,
    code: str = "",
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> list[Marked]:
    """``count`` prints of the families at hand, judged. ``code`` names the program, where results are kept."""
    size = BLOCK[way]
    items = [
        {
            "count": min(size, count - at),
            "seed": seed * 10_000 + at,
            "way": way,
            "beside": beside,
            "families": list(at_hand(families)),
            "code": code,
        }
        for at in range(0, count, size)
    ]
    blocks = spread(mark_block, items, workers=workers, finished=finished, tell=tell)
    return [_from_plain(one) for block in blocks for one in block["marked"]]


def _from_plain(plain: dict[str, Any]) -> Marked:
    held: dict[str, Any] = {**plain, "truth": tuple(plain["truth"])}
    return Marked(**held)


def below_send(some: Iterable[Marked]) -> tuple[float, int]:
    """Share graded below ``send`` among the sound prints on good coated cards, and how many there are."""
    sound = [one for one in some if one.sound_good]
    return _share(GRADES.index(one.grade) > GRADES.index("send") for one in sound), len(sound)


def above_draft(some: Iterable[Marked]) -> tuple[float, int]:
    """Share graded above ``draft`` among the prints on bare card with nothing else wrong, and how many there are."""
    bare = [one for one in some if one.uncoated_sound]
    return _share(GRADES.index(one.grade) < GRADES.index("draft") for one in bare), len(bare)


def _share(found: Iterable[bool]) -> float:
    each = list(found)
    return float(np.mean(each)) if each else float("nan")


def row(name: str, some: Sequence[Marked]) -> str:
    """One Markdown row. The calibration error is over prints that count: a fault that moved nothing has no name."""
    counted = [one for one in some if one.counts]
    if not counted:
        return f"| {name} | 0 | | | | | | |"
    slow = 1000.0 * float(np.percentile([one.seconds for one in some], 95))
    shares = [
        share_right(some) if any(one.moved for one in some) else (float("nan"), 0),
        share_accused(some) if any(one.truth == ("none",) for one in some) else (float("nan"), 0),
        below_send(some),
        above_draft(some),
    ]
    cells = " | ".join(f"{100 * share:.1f} % of {count}" if count else "" for share, count in shares)
    return f"| {name} | {len(some)} | {cells} | {calibration_error(counted):.3f} | {slow:.0f} ms |"


def by_fault(some: Sequence[Marked]) -> str:
    """Share named right of each fault, of the prints that it moved; pairs by both."""
    lines = ["| fault | moved | named right |", "| --- | --- | --- |"]
    for cause in get_args(Cause):
        its = [one for one in some if cause in one.truth and one.counts]
        if its:
            lines.append(f"| {cause} | {len(its)} | {100 * np.mean([one.is_right for one in its]):.1f} % |")
    return "\n".join(lines)


def report(name: str, some: Sequence[Marked]) -> str:
    """The rows of one way of reading: all, by what lies beside, by family and by device."""
    lines = [row(name, some)]
    kinds: list[tuple[str, Callable[[Marked], bool]]] = [
        ("beside a good print", lambda one: one.beside != "none"),
        ("· same card", lambda one: one.beside == "same card"),
        ("· known card", lambda one: one.beside == "known card"),
        ("alone", lambda one: one.beside == "none"),
        *((f"family {family}", lambda one, f=family: one.family == f) for family in FAMILIES),
        *((f"read by {by}", lambda one, b=by: one.by == b) for by in ("instrument", "scan")),
    ]
    lines += [
        row(f"{name}: {kind}", its) for kind, holds in kinds if (its := [one for one in some if holds(one)])
    ]
    return "\n".join(lines)


__all__ = [
    "HEAD",
    "Marked",
    "by_fault",
    "confusion",
    "mark_block",
    "mark_of",
    "marked",
    "report",
    "row",
    "study",
]
