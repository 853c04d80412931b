"""Prints of one group judged together: the common fault in a sentence, its evidence, the cards beside each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.records import Settings, Trial, Verdict
from tackside.records.reading import Reading
from tackside.records.together import PrintAmongOthers, PrintsTogether, Standing
from tackside.records.verdict import Cause, Combination, Evidence
from tackside.verdict.causes.diagnosis import CARD_FAULTS, of_states
from tackside.verdict.causes.finding import Finding, evidence_for
from tackside.verdict.causes.weigh import likeliest
from tackside.verdict.explain.head import SUREST
from tackside.verdict.explain.words import cause_named, combined_reasons, test_of
from tackside.verdict.measures.compare import SETTINGS, value_of
from tackside.verdict.measures.measure import number
from tackside.verdict.together.shared import InGroup, weigh_together

# From these chances on a common fault is named, a face is said to be bare or to take ink, a print not to fit the rest
# (this project's own).
_TOLD, _BARE, _HOLDS, _DIFFERS = 0.6, 0.6, 0.8, 0.5
# From this chance on a rival cause, or a pair of faults, is mentioned.
_MENTIONED = 0.15
# A print's own reading speaks for the common fault from twice the odds on: log10 of 2.
_SPEAKS = 0.3
# Faults that leave flat colours alone: what the card holds shows all the same.
_COLOURLESS: tuple[Cause, ...] = ("alignment", "scaling")
_ORDER: tuple[Standing, ...] = ("sound", "as-graded", "likely-good", "open", "differs", "bare")


@dataclass(frozen=True, eq=False)
class OneOfGroup:
    """A print with the verdict on it alone and what that was found from."""

    trial: Trial
    reading: Reading
    verdict: Verdict
    finding: Finding


def judge_group(prints: Sequence[OneOfGroup]) -> PrintsTogether:
    """Two prints or more that were made in one way (``grouping``)."""
    shared = weigh_together([((one.trial.stock, one.trial.side), one.finding.weighed) for one in prints])
    common = of_states(shared.faults)
    fault = max(common.causes, key=lambda cause: common.causes[cause])
    told = common.causes[fault] >= _TOLD
    # Blacks are only set in a row where they were read alike.
    ordered = sorted(
        (
            (one, _among(one, its, fault if told else None))
            for one, its in zip(prints, shared.prints, strict=True)
        ),
        key=lambda pair: (
            _ORDER.index(pair[1].standing),
            pair[0].reading.uncertainty.comparable_with,
            number(pair[0].verdict.measures, "black_l") or 0.0,
            pair[0].trial.id,
        ),
    )
    found = tuple(each for _, each in ordered)
    combined = tuple(
        Combination(causes=pair, probability=chance)
        for pair, chance in sorted(common.pairs.items(), key=lambda item: -item[1])
        if chance >= _MENTIONED
    )
    return PrintsTogether(
        trials=tuple(one.trial.id for one in prints),
        printer=prints[0].trial.printer,
        settings=Settings(**{name: getattr(prints[0].trial.settings, name) for name in SETTINGS}),
        way=_way(prints[0].trial),
        fault=fault,
        told=told,
        faults={cause: chance for cause, chance in common.causes.items() if cause not in CARD_FAULTS},
        combined=combined,
        speaking=shared.speaking,
        sentence=_sentence(fault, told, common.causes, found),
        reasons=(
            *combined_reasons(combined),
            *_to_do(fault, told, common.causes),
            *_cards(fault, told, found),
        ),
        prints=found,
    )


def _way(trial: Trial) -> Message:
    noted = [
        Message(
            "cause.shared.setting",
            setting=Message(f"verdict.setting.{name.replace('_', '-')}"),
            value=value_of(trial, name),
        )
        for name in SETTINGS
        if getattr(trial.settings, name) is not None
    ]
    if not noted:
        return Message("cause.shared.way-not-noted", printer=trial.printer)
    return Message("cause.shared.way", printer=trial.printer, settings=noted)


def _evidence(one: OneOfGroup, causes: dict[Cause, float], told: Cause | None) -> tuple[Evidence, ...]:
    """For and against the common fault first, also where this print does not have it."""
    half = {cause: 0.5 * chance + (0.5 if cause == told else 0.0) for cause, chance in causes.items()}
    weighed = causes if told is None else half
    found = evidence_for(weighed, one.reading, one.finding.diagnosis, one.verdict.measures)
    return tuple(sorted(found, key=lambda each: (each.cause != told, -abs(each.weight))))


def _among(one: OneOfGroup, its: InGroup, told: Cause | None) -> PrintAmongOthers:
    causes = of_states(its.states).causes
    holds = 1.0 - sum(causes[cause] for cause in CARD_FAULTS)
    standing = _standing(causes, holds, its.differs, told)
    black = one.verdict.measures.get("black_l")
    return PrintAmongOthers(
        trial=one.trial.id,
        stock=one.trial.stock,
        side=one.trial.side,
        grade=one.verdict.grade,
        black_l=black,
        causes=causes,
        standing=standing,
        fits=1.0 - its.differs,
        holds_ink=holds,
        weight=its.weight,
        speaks="for" if its.weight >= _SPEAKS else "against" if its.weight <= -_SPEAKS else "neither",
        evidence=_evidence(one, causes, told),
        sentence=_of_print(standing, causes, holds, its.differs, told, one.verdict),
    )


def _standing(causes: dict[Cause, float], holds: float, differs: float, told: Cause | None) -> Standing:
    if 1.0 - holds >= _BARE:
        return "bare"
    if told is None:
        return "open"
    if differs >= _DIFFERS:
        return "differs"
    if holds < _HOLDS or told == "unknown":
        return "open"
    if told == "none":
        return "sound" if causes["none"] >= _TOLD else "open"
    return "as-graded" if told in _COLOURLESS else "likely-good"


def _of_print(
    standing: Standing,
    causes: dict[Cause, float],
    holds: float,
    differs: float,
    told: Cause | None,
    verdict: Verdict,
) -> Message:
    if standing == "bare":
        also = "" if told in (None, "none") or differs >= _DIFFERS else "-besides"
        return Message(f"cause.shared.print.bare{also}", chance=min(1.0 - holds, SUREST))
    if standing == "differs":
        own = likeliest(causes)
        return Message(
            "cause.shared.print.differs",
            cause=cause_named(own),
            chance=min(causes[own], SUREST),
            apart=differs,
        )
    if standing == "as-graded":
        return Message("cause.shared.print.as-graded", good_for=Message(f"verdict.good-for.{verdict.grade}"))
    chance = causes["none"] if standing == "sound" else holds
    return Message(f"cause.shared.print.{standing}", chance=min(chance, SUREST))


def _sentence(
    fault: Cause, told: bool, causes: dict[Cause, float], prints: Sequence[PrintAmongOthers]
) -> Message:
    count = len(prints)
    if not told:
        ranked = sorted(causes, key=lambda cause: -causes[cause])
        named = [cause for cause in ranked if cause == fault or causes[cause] >= _MENTIONED]
        weighed = [Message("cause.weighed", cause=_as_common(cause), chance=causes[cause]) for cause in named]
        return Message("cause.shared.open", count=count, causes=weighed)
    fitting = sum(1 for one in prints if one.fits > 1.0 - _DIFFERS)
    if fault == "none":
        return Message("cause.shared.none", count=count, chance=min(causes[fault], SUREST))
    speaking = sum(1 for one in prints if one.speaks == "for" and one.fits > 1.0 - _DIFFERS)
    how = "fault" if fitting == count else "fault-of-most"
    return Message(
        f"cause.shared.{how}",
        count=count,
        fitting=fitting,
        cause=cause_named(fault),
        chance=min(causes[fault], SUREST),
        speaking=speaking,
    )


def _as_common(cause: Cause) -> Message:
    return Message("cause.shared.no-common-fault") if cause == "none" else cause_named(cause)


def _to_do(fault: Cause, told: bool, causes: dict[Cause, float]) -> list[Message]:
    """What tells the fault, and mends it; where it cannot be told yet, what tells the likeliest two apart."""
    likely = [fault] if told else sorted(causes, key=lambda cause: -causes[cause])[:3]
    tests = list(dict.fromkeys(test for cause in likely if (test := test_of(cause)) is not None))[:2]
    return (
        [Message("cause.shared.to-tell" if not told else "cause.shared.mend", tests=tests)] if tests else []
    )


def _cards(fault: Cause, told: bool, prints: Sequence[PrintAmongOthers]) -> list[Message]:
    """The cards beside each other, with that fault taken into account."""
    said = []
    for standing in _ORDER:
        named = [
            Message(f"cause.shared.name-{one.side}", stock=one.stock, trial=one.trial)
            for one in prints
            if one.standing == standing
        ]
        if named:
            said.append(Message(f"cause.shared.cards.{standing}", prints=named, count=len(named)))
    if told and fault != "none" and fault not in _COLOURLESS:
        said.append(Message("cause.shared.again"))
    return said
