"""A verdict's three lines: they are there for every print, in plain words, and the next step contradicts nothing.

What the lines are to be like is this project's own choice. Expected information is checked against mutual information,
Σ p(c, o) log2(p(o | c) / p(o)): the same quantity by another formula (Cover and Thomas, Elements of Information Theory,
section 2.4; docs/sources.md, S114).
"""

from __future__ import annotations

import re
from functools import cache
from itertools import permutations
from math import log2
from typing import get_args

import pytest

from tackside.cli.views.onward import COMMANDS, command_for, word
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, Wording
from tackside.records import Cause, Verdict
from tackside.records.verdict import Combination, Door, Grade
from tackside.verdict.causes.next_step import (
    MENDED,
    MENDS,
    STEPS,
    expected_gain,
    mends_in_words,
    next_steps,
)
from tackside.verdict.explain.head import head_of
from tackside.verdict.explain.words import CAUSES
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.web.i18n.words import DOORS
from tests.verdict.many import many
from tests.verdict.readings import reading, trial

PAGE, GERMAN = Wording(where="page"), Wording(language="de", where="page")
# Words that need a glossary, or belong to the figures.
FIGURES = re.compile(
    r"\bbits?\b|\bBit\b|ΔE|ΔC|L\*|C\*|cubic|thousand|[Tt]ausend|volume|volumen", re.IGNORECASE
)
FAULTS = [cause for cause in CAUSES if cause not in ("none", "unknown")]
PAIRS = [pair for pair in permutations(FAULTS, 2) if set(pair) != {"stock", "side"}]


@pytest.fixture(scope="module")
def prints() -> dict[str, tuple[KnownPrint, Verdict]]:
    return {name: (known, judge(known)) for name, known in many()}


def test_a_range_of_prints_is_looked_at(prints: dict[str, tuple[KnownPrint, Verdict]]) -> None:
    assert {verdict.grade for _, verdict in prints.values()} == set(get_args(Grade))
    assert len({verdict.cause for _, verdict in prints.values()}) >= 10


def test_each_print_has_its_three_lines_in_plain_words(prints: dict[str, tuple[KnownPrint, Verdict]]) -> None:
    for name, (known, verdict) in prints.items():
        head = head_of(verdict, known.trial)
        for wording in (TERMINAL, PAGE, GERMAN):
            told = [wording.text(line) for line in head.lines]
            assert all(re.fullmatch(r"[A-ZÄÖÜ].*[.]", line) for line in told), (name, told)
            assert not FIGURES.search(" ".join(told)), (name, told)
            assert len(" ".join(told)) < 400, (name, told)
        assert [TERMINAL.text(line) for line in head.lines] != [GERMAN.text(line) for line in head.lines]
        for _, seen in head.seen:
            assert not re.search(r"\bbit|ΔE³|thousand", TERMINAL.text(seen)), (name, seen)
        assert head.then.code.startswith("step.do"), name


def test_no_step_speaks_of_bits_and_the_first_is_not_said_twice(
    prints: dict[str, tuple[KnownPrint, Verdict]],
) -> None:
    for known, verdict in prints.values():
        head = head_of(verdict, known.trial)
        assert not any(FIGURES.search(str(step.sentence)) for step in verdict.next_steps)
        assert not any(f"step.do.{step.step}" == head.then.code for step in head.steps)
        assert "step.next" not in {reason.code for reason in verdict.reasons}


@cache
def sound() -> Verdict:
    return judge(KnownPrint(reading(black=16.0), trial=trial()))


def with_causes(grade: Grade, causes: dict[Cause, float], **more: object) -> Verdict:
    """A verdict on an invented print that holds these causes."""
    left = (1.0 - sum(causes.values())) / max(len(CAUSES) - len(causes), 1)
    every = {cause: causes.get(cause, left) for cause in CAUSES}
    first = max(every, key=lambda cause: every[cause])
    held = {
        "grade": grade,
        "cause": first,
        "causes": every,
        "card": None,
        "path": None,
        "next_steps": (),
        **more,
    }
    return sound().model_copy(update=held)


def test_a_way_that_is_hardly_likelier_sound_is_not_said_to_be_all_that_the_card_holds() -> None:
    said = str(head_of(with_causes("send", {"none": 0.55})).why)
    assert said.startswith(
        "Nothing is sure, but most likely the way from the file to the card is sound (55 %)."
    )
    assert "all that the card holds" not in said


@pytest.mark.parametrize("grade", [grade for grade in get_args(Grade) if grade != "sell"])
@pytest.mark.parametrize("chance", [0.6, 0.91])
def test_where_nothing_is_wrong_below_sell_it_is_all_that_the_card_holds(grade: Grade, chance: float) -> None:
    head = head_of(with_causes(grade, {"none": chance}))
    assert "this is all that the card holds" in str(head.why)
    for line in head.lines:
        assert "cannot be told" not in str(line)
        assert "nothing is wrong" not in str(line)
    assert head.door in ("another-card", "make-card")


def test_where_the_card_would_allow_more_it_is_not_called_all_that_it_holds() -> None:
    tinted = judge(KnownPrint(reading(black=16.0, cast=(9.0, 9.0)), trial=trial()))
    assert tinted.card is not None
    held = tinted.model_copy(update={"cause": "none", "causes": with_causes("send", {"none": 0.9}).causes})
    assert "all that the card holds" not in str(head_of(held).why)
    assert "the card can hold more" in str(head_of(held).why)


@pytest.mark.parametrize("grade", get_args(Grade))
@pytest.mark.parametrize("chance", [0.2, 0.5, 0.95])
def test_every_cause_at_every_grade_has_three_lines(grade: Grade, chance: float) -> None:
    for cause in CAUSES:
        head = head_of(with_causes(grade, {cause: chance}), trial())
        for wording in (TERMINAL, GERMAN):
            assert all(wording.text(line) and "{" not in wording.text(line) for line in head.lines)
        if cause in ("stock", "side") and chance > 0.9 and grade != "sell":
            assert head.door == {"stock": "another-card", "side": "other-side"}[cause]


def chances(first: Cause, rest: float = 0.1) -> dict[Cause, float]:
    return {cause: 1 - rest if cause == first else rest / (len(CAUSES) - 1) for cause in CAUSES}


@pytest.mark.parametrize("together", [0.06, 0.2, 0.3, 0.5, 0.85])
@pytest.mark.parametrize("rest", [0.1, 0.5])
def test_no_next_step_contradicts_two_faults_at_once(together: float, rest: float) -> None:
    path = {"managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide"}
    looked_at = 0
    for pair in PAIRS:
        causes = chances(pair[0], rest)
        chance = min(together, causes[pair[0]])
        steps = next_steps(causes, {pair: chance})
        combined = (Combination(causes=pair, probability=chance),)
        head = head_of(with_causes("draft", causes, combined=combined, next_steps=steps), trial())
        named = [(step.step, str(step.sentence)) for step in steps]
        for step, told in (*named, (head.does, str(head.then))):
            looked_at += 1
            # Nothing is to be printed past all management where nothing managed the other print.
            assert not (step == "device-sheet" and "unmanaged" in pair), (pair, told)
            # A test between two faults that are both there would clear one of them.
            assert not (step == "known-card" and len({"stock", "side"} & set(pair)) == 1), (pair, told)
            assert not (step == "device-sheet" and len(path & set(pair)) == 1), (pair, told)
            if "nothing else" in told:
                assert not [fault for fault in pair if fault in MENDS and "ink" not in fault], (pair, told)
        for step in steps:
            prints = next(each for each in STEPS if each.id == step.step)
            if prints.prints and chance >= MENDED:
                left = tuple(fault for fault in pair if fault in MENDS and fault not in prints.addresses)
                assert step.mends == left, pair
                assert all(str(mend) in str(step.sentence) for mend in mends_in_words(left)), pair
    assert looked_at > len(PAIRS)


def test_steps_are_ranked_by_what_they_settle_for_their_cost() -> None:
    causes: dict[Cause, float] = dict.fromkeys(CAUSES, 0.02)
    causes |= {"stock": 0.25, "side": 0.2, "missing-ink": 0.15, "scaling": 0.1, "managed-twice": 0.12}
    total = sum(causes.values())
    causes = {cause: chance / total for cause, chance in causes.items()}
    steps = next_steps(causes)
    by_id = {step.id: step for step in STEPS}
    worth = [step.gain_bits / by_id[step.step].cost for step in steps]
    assert len(steps) > 4
    assert worth == sorted(worth, reverse=True)
    gains = [step.gain_bits for step in steps]
    assert gains != sorted(gains, reverse=True), "cost has a say"
    for step in steps:
        assert (step.sheets, step.minutes) == (by_id[step.step].sheets, by_id[step.step].minutes)


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.id)
@pytest.mark.parametrize("first", ["stock", "unmanaged", "unknown"])
def test_gain_is_mutual_information(step: object, first: Cause) -> None:
    causes = chances(first, 0.6)
    outcomes = {cause: step.chances.get(cause, step.otherwise) for cause in causes}  # type: ignore[attr-defined]
    of = [sum(causes[cause] * outcomes[cause][k] for cause in causes) for k in range(len(outcomes[first]))]
    mutual = sum(
        causes[cause] * share * log2(share / of[k])
        for cause in causes
        for k, share in enumerate(outcomes[cause])
        if share > 0
    )
    assert expected_gain(causes, step) == pytest.approx(mutual, abs=1e-9)  # type: ignore[arg-type]


def test_every_door_is_opened_by_both_front_ends() -> None:
    doors = set(get_args(Door))
    assert doors <= set(COMMANDS)
    assert doors <= set(DOORS)
    for door in doors:
        for of in (trial(), trial(side="back", space="adobe-rgb"), trial(purpose="device"), None):
            told = command_for(door, of)
            assert told is not None
            assert told.startswith("tackside ")
    assert command_for("other-side", trial()) == (
        'tackside sheet "Harbour Satin 300" "Tern 8" --side back --out sheet.tif'
    )
    assert command_for("other-side", trial(side="back")) == (
        'tackside sheet "Harbour Satin 300" "Tern 8" --side front --out sheet.tif'
    )


@pytest.mark.parametrize(
    ("name", "typed"),
    [("Tern", "Tern"), ("Tern 8", '"Tern 8"'), ('5" card', "'5\" card'"), ("a $HOME", "'a $HOME'")],
)
def test_names_are_quoted_for_a_shell(name: str, typed: str) -> None:
    assert word(name) == typed


def test_a_verdict_kept_as_sentences_has_three_lines() -> None:
    verdict = judge(KnownPrint(reading(black=31.0, chroma=0.5), trial=trial()))
    plain = verdict.model_dump(mode="json")
    for holder in (*plain["rules"], *plain["evidence"], *plain["next_steps"]):
        holder["sentence"] = str(Message.of_data(holder["sentence"]))
        holder.pop("minutes", None)
        holder.pop("mends", None)
    plain["reasons"] = [str(Message.of_data(each)) for each in plain["reasons"]]
    old = Verdict.model_validate(plain)
    assert head_of(old).good_for == head_of(verdict).good_for
    assert head_of(old).why.code == head_of(verdict).why.code
    assert all(str(line) for line in head_of(old).lines)
