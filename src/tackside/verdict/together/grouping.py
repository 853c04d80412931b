"""Which trials were printed in one way: by one printer, with the same settings, from the same kind of sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.records import Trial
from tackside.records.together import StandsAlone
from tackside.verdict.measures.compare import SETTINGS, value_of

# Of the sheet: what its numbers are, and whether it was enlarged past the edges.
_OF_SHEET = ("purpose", "space", "borderless")


@dataclass(frozen=True)
class Grouped:
    """Trials that belong together, as places in what was given, two or more in a group; and those that stand alone."""

    groups: tuple[tuple[int, ...], ...]
    alone: tuple[StandsAlone, ...]


def grouped(trials: Sequence[Trial]) -> Grouped:
    """The groups, in the order in which each first appears. A setting that was not noted is alike only where it was not
    noted of the other either."""
    by_way: dict[tuple[object, ...], list[int]] = {}
    for at, trial in enumerate(trials):
        by_way.setdefault(_way(trial), []).append(at)
    groups = tuple(tuple(members) for members in by_way.values() if len(members) > 1)
    single = [members[0] for members in by_way.values() if len(members) == 1]
    alone = (StandsAlone(trial=trials[at].id, stock=trials[at].stock, why=_why(at, trials)) for at in single)
    return Grouped(groups, tuple(alone))


def _way(trial: Trial) -> tuple[object, ...]:
    return (
        trial.printer.casefold(),
        *(_plain(getattr(trial.settings, name)) for name in SETTINGS),
        *(getattr(trial.sheet, name) for name in _OF_SHEET),
    )


def _plain(value: object) -> object:
    """A person's own words without what does not matter in them."""
    return " ".join(value.casefold().split()) if isinstance(value, str) else value


def _why(at: int, trials: Sequence[Trial]) -> Message:
    """What parts a trial from that which is most like it."""
    own = trials[at]
    others = [
        trial for trial in trials if trial is not own and trial.printer.casefold() == own.printer.casefold()
    ]
    if not others:
        return Message("cause.shared.alone.printer", printer=own.printer)
    nearest = min(others, key=lambda trial: len(_differing(own, trial)))
    return Message("cause.shared.alone.differs", other=nearest.id, differing=_differing(own, nearest))


def _differing(one: Trial, other: Trial) -> list[Message]:
    found = []
    for name in SETTINGS:
        if _plain(getattr(one.settings, name)) != _plain(getattr(other.settings, name)):
            setting = Message(f"verdict.setting.{name.replace('_', '-')}")
            here, there = _told(one, name), _told(other, name)
            found.append(Message("cause.shared.alone.by", setting=setting, here=here, there=there))
    found += [
        Message(f"cause.shared.alone.{name}")
        for name in _OF_SHEET
        if getattr(one.sheet, name) != getattr(other.sheet, name)
    ]
    return found


def _told(trial: Trial, name: str) -> str | Message:
    if getattr(trial.settings, name) is None:
        return Message("cause.shared.alone.not-noted")
    return value_of(trial, name)
