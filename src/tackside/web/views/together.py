"""Prints judged together, for the page: the common fault in a sentence, and a line for each card beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.records import Grade
from tackside.records.together import PrintAmongOthers, PrintsTogether, StandsAlone
from tackside.web.i18n.preferences import Person
from tackside.web.i18n.words import CAUSES
from tackside.web.workbench import Workbench
from tackside.workflow.judge_together import seen_together

MOST = 12
_LEAST = 0.02


@dataclass(frozen=True)
class SaidOfPrint:
    """A figure of the print: what it says, and whether that speaks for the cause it names."""

    sentence: Message
    is_for: bool


@dataclass(frozen=True)
class CardInGroup:
    """A line of the table. ``speaks``: whether the reading speaks for the group's fault, against it, or neither."""

    trial: str
    stock: str
    side: str
    grade: Grade
    black: str
    is_bad: bool
    sentence: Message
    speaks: str
    evidence: tuple[SaidOfPrint, ...]


@dataclass(frozen=True)
class SharedFaultView:
    """``is_bad``: a fault was found. ``faults``: as bars, the likeliest first, in the person's words."""

    way: Message
    sentence: Message
    reasons: tuple[Message, ...]
    is_bad: bool
    faults: tuple[tuple[str, float], ...]
    prints: tuple[CardInGroup, ...]


@dataclass(frozen=True)
class TogetherView:
    trials: tuple[str, ...]
    groups: tuple[SharedFaultView, ...]
    alone: tuple[StandsAlone, ...]


def together_view(workbench: Workbench, ids: Sequence[str], person: Person) -> TogetherView:
    """What the trials say together, by the way in which each was printed."""
    trials = tuple(dict.fromkeys(ids[:MOST]))
    found = seen_together(workbench.bench, trials)
    return TogetherView(trials, tuple(_group(group, person) for group in found.groups), found.alone)


def _group(group: PrintsTogether, person: Person) -> SharedFaultView:
    likely = sorted(group.faults.items(), key=lambda each: -each[1])
    return SharedFaultView(
        way=group.way,
        sentence=group.sentence,
        reasons=group.reasons,
        is_bad=group.told and group.fault != "none",
        faults=tuple((person.say(CAUSES[cause]), chance) for cause, chance in likely if chance >= _LEAST),
        prints=tuple(_print(one, person) for one in group.prints),
    )


def _print(one: PrintAmongOthers, person: Person) -> CardInGroup:
    black = one.black_l.value if one.black_l is not None else None
    return CardInGroup(
        trial=one.trial,
        stock=one.stock,
        side=one.side,
        grade=one.grade,
        black="" if black is None or isinstance(black, tuple) else person.fixed(black, 1),
        is_bad=one.standing in ("bare", "differs"),
        sentence=one.sentence,
        speaks=one.speaks,
        evidence=tuple(SaidOfPrint(each.sentence, each.weight > 0) for each in one.evidence),
    )
