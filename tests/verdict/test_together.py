"""Prints made in one way, judged together: one fault of the path is told once, and each card is seen beside it.

What is printed is invented, by the virtual press; how sure it is to be is this project's own choice (docs/sources.md,
S54).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import permutations
from typing import Any

import numpy as np
import pytest
from training.stocks import varied

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.records import Settings, Trial
from tackside.records.reading import Flaw
from tackside.records.together import PrintAmongOthers, PrintsTogether
from tackside.records.verdict import Cause
from tackside.verdict.causes.diagnosis import WeighedStates, of_states
from tackside.verdict.judge import judge_with_finding
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.together.grouping import grouped
from tackside.verdict.together.judge import OneOfGroup, judge_group
from tackside.verdict.together.shared import weigh_together
from tests.verdict.printed import printed
from tests.verdict.readings import stock, trial
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines

COATED = (semi_gloss(), cotton_etching(), matt_coated())
SOUND = PrinterModel()
# Faults of the path, each so slight that a print alone leaves it open, or one of them.
FAULTS: list[tuple[Cause, PrinterModel]] = [
    ("too-little-ink", PrinterModel(ink=0.72)),
    ("managed-twice", PrinterModel(managed="twice")),
    ("unmanaged", PrinterModel(managed="nobody")),
    ("missing-ink", PrinterModel(missing=("m",))),
]


@cache
def card(number: int) -> StockModel:
    """One of any number of coated cards, all different."""
    return varied(COATED[number % len(COATED)], np.random.default_rng(number), 0.6)


def one_of(model: StockModel, printer: PrinterModel, number: int, *, lines: bool = False) -> OneOfGroup:
    """A print of card ``number`` with its own verdict, nothing beside it; ``lines``: as a scan shows them."""
    sheet = trial(name=f"TRIAL{number:03d}").model_copy(update={"stock": f"Card {number}"})
    reading = printed(sheet, model, printer, seed=number + 1)
    if lines:
        reading = with_lines(reading) if model.takes_ink else with_lines(reading, gain=FEATHERED, mottle=1.1)
    return judged(KnownPrint(reading, sheet, stock(name=f"Card {number}")))


def judged(known: KnownPrint) -> OneOfGroup:
    assert known.trial is not None
    return OneOfGroup(known.trial, known.reading, *judge_with_finding(known))


@cache
def eight(fault: int) -> tuple[OneOfGroup, ...]:
    return tuple(one_of(card(number), FAULTS[fault][1], number) for number in range(8))


def alone(one: OneOfGroup, cause: Cause) -> float:
    return one.verdict.causes[cause]


def of(group: PrintsTogether, number: int) -> PrintAmongOthers:
    (found,) = (one for one in group.prints if one.trial == f"TRIAL{number:03d}")
    return found


def weighed(prints: Sequence[OneOfGroup]) -> list[tuple[str, WeighedStates]]:
    return [(one.trial.stock, one.finding.weighed) for one in prints]


@pytest.mark.parametrize("number", range(len(FAULTS)))
def test_one_print_is_a_group_of_itself(number: int) -> None:
    one = eight(number)[0]
    shared = weigh_together(weighed([one]))
    assert of_states(shared.prints[0].states).causes == pytest.approx(one.verdict.causes, abs=1e-9)
    assert shared.speaking == 1.0


@pytest.mark.parametrize(("fault", "number"), [(each[0], at) for at, each in enumerate(FAULTS)])
def test_eight_prints_of_one_fault_on_as_many_cards_have_one_fault(fault: Cause, number: int) -> None:
    group = judge_group(eight(number))
    assert group.told
    assert group.fault == fault
    # Surer than each print that is not settled alone: from 0.9 on a cause is settled, as for one print.
    assert all(group.faults[fault] > min(alone(one, fault), 0.9) for one in eight(number))
    assert group.sentence.value("cause") is not None
    assert {one.standing for one in group.prints} <= {"likely-good", "open"}
    assert sum(one.standing == "likely-good" for one in group.prints) >= 6
    assert all(sum(one.causes.values()) == pytest.approx(1.0) for one in group.prints)
    assert sum(group.faults.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("ink", [0.75, 0.76, 0.77])
def test_prints_that_are_unsure_alone_are_surer_together(ink: float) -> None:
    # Those that lean to the fault; on a card of another kind so little is no fault to be seen.
    every = [one_of(card(number), PrinterModel(ink=ink), number) for number in range(8)]
    unsure = [one for one in every if 0.5 < alone(one, "too-little-ink") < 0.9]
    assert len(unsure) >= 4
    group = judge_group(unsure)
    assert group.fault == "too-little-ink"
    assert group.faults["too-little-ink"] > max(alone(one, "too-little-ink") for one in unsure)
    # And each print learns from the others.
    own = {one.trial.id: alone(one, "too-little-ink") for one in unsure}
    assert all(one.causes["too-little-ink"] > own[one.trial] for one in group.prints)


def test_nothing_is_approved_that_was_not_seen() -> None:
    """A card that is likely good keeps the grade that its print has."""
    group = judge_group(eight(0))
    own = {one.trial.id: one.verdict for one in eight(0)}
    for one in group.prints:
        assert one.grade == own[one.trial].grade
    assert "cause.shared.again" in {reason.code for reason in group.reasons}


def test_the_order_of_prints_changes_nothing() -> None:
    four = eight(0)[:4]
    first = judge_group(four)
    for order in permutations(four):
        again = judge_group(order)
        assert again.faults == pytest.approx(first.faults, abs=1e-12)
        assert [one.trial for one in again.prints] == [one.trial for one in first.prints]
        assert again.sentence.code == first.sentence.code


def test_sound_prints_are_sound_together() -> None:
    group = judge_group([one_of(card(number), SOUND, number) for number in range(8)])
    assert group.fault == "none"
    assert group.faults["none"] >= 0.9
    assert {one.standing for one in group.prints} == {"sound"}
    assert group.sentence.code == "cause.shared.none"


@pytest.mark.parametrize("bare", [craft_card(), matt_uncoated_back()], ids=lambda model: model.name)
def test_one_bare_card_among_good_ones_is_told_as_bare(bare: StockModel) -> None:
    little = PrinterModel(ink=0.72)
    prints = [one_of(card(number), little, number, lines=True) for number in range(7)]
    prints.append(one_of(bare, little, 7, lines=True))
    group = judge_group(prints)
    assert group.fault == "too-little-ink"
    assert of(group, 7).standing == "bare"
    assert of(group, 7).holds_ink < 0.4
    assert all(of(group, number).standing != "bare" for number in range(7))
    assert "cause.shared.cards.bare" in {reason.code for reason in group.reasons}


def test_a_print_made_otherwise_is_named() -> None:
    prints = [one_of(card(number), PrinterModel(managed="twice"), number) for number in range(6)]
    prints.append(one_of(card(6), PrinterModel(missing=("c",)), 6))
    group = judge_group(prints)
    assert group.fault == "managed-twice"
    assert of(group, 6).standing == "differs"
    assert of(group, 6).fits < 0.5
    assert group.sentence.code == "cause.shared.fault-of-most"
    assert group.sentence.value("fitting") == 6
    assert all(of(group, number).fits > 0.5 for number in range(6))


def test_a_print_that_says_nothing_takes_nothing_away() -> None:
    fit = eight(1)[:3]
    useless = one_of(card(3), FAULTS[1][1], 3).reading.model_copy(
        update={"flaws": (Flaw(code="automatic-tone", degree=1.0),)}
    )
    sheet = trial(name="TRIAL003").model_copy(update={"stock": "Card 3"})
    silent = judged(KnownPrint(useless, sheet, stock(name="Card 3")))
    assert silent.finding.weighed.fit == 0.0
    without, beside = weigh_together(weighed(fit)), weigh_together(weighed([*fit, silent]))
    assert beside.faults == pytest.approx(without.faults, abs=1e-6)
    assert beside.speaking == pytest.approx(without.speaking, abs=1e-6)


def test_eight_prints_of_a_group_count_as_fewer() -> None:
    """Readings of one group share their errors: eight count as fewer than eight."""
    group = judge_group(eight(0))
    assert 1.0 < group.speaking < 5.0


def test_prints_of_one_face_share_its_state() -> None:
    bare = [one_of(craft_card(), SOUND, 1), one_of(craft_card(), SOUND, 2)]
    same = weigh_together([("one card", one.finding.weighed) for one in bare])
    others = weigh_together(weighed(bare))
    holds = [of_states(found.prints[0].states).causes["none"] for found in (same, others)]
    assert holds[0] <= holds[1]


def way(name: str, printer: str = "Tern 8", **settings: Any) -> Trial:
    return trial(name=name, settings=Settings(**settings)).model_copy(update={"printer": printer})


def test_trials_are_grouped_by_printer_and_settings() -> None:
    found = grouped(
        [
            way("A", media_setting="Photo satin", lamp="north window"),
            way("B", media_setting="Matt"),
            way("C", media_setting="photo  Satin", notes="the second pack"),
            way("D", "Tern 9", media_setting="Photo satin"),
            way("E"),
        ]
    )
    assert found.groups == ((0, 2),)
    why = {one.trial: one.why for one in found.alone}
    assert set(why) == {"B", "D", "E"}
    assert why["D"].code == "cause.shared.alone.printer"
    assert str(why["B"]) == "it is most like A, but for the media setting (Matt here, Photo satin there)"
    assert "not noted here" in str(why["E"])


def test_another_sheet_is_another_way() -> None:
    one, other = trial(name="A"), trial(name="B", space="adobe-rgb")
    found = grouped([one, other, trial(name="C", purpose="device")])
    assert found.groups == ()
    assert "the colour space of the sheet" in str(found.alone[0].why)
