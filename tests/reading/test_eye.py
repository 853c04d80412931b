"""Answers by eye become readings with wide uncertainty; contradictions are told, and nothing is made up.

How far each widens the uncertainty is this project's own: docs/sources.md, S48.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from tackside.errors import BadRequest
from tackside.messages.catalogue import entry_of
from tackside.reading.eye import Answers, read_answers
from tackside.reading.eye_questions import QUESTIONS, Question, answers_from, asked
from tests.reading.scan.prints import TRIAL, planned

GOOD = Answers(
    dark_steps_alike=1, light_steps_alike=0, smallest_type_pt=4, smallest_reversed_type_pt=5, creep="no",
    drag_this_side="yes", drag_other_side="no", beside_screen="same", greys_tint="none", light_lines="none",
    doubled_lines="none", ruler_across_mm=(100, 99.5), ruler_along_mm=(100, 99.5), black_beside_good="same",
    colour_beside_good="same", drying_hours=30,
)  # fmt: skip


def test_a_good_print_answered_in_full() -> None:
    reading = read_answers(GOOD, planned(), trial=TRIAL)
    assert reading.kind == "eye"
    assert reading.trial == TRIAL
    assert reading.uncertainty.comparable_with == "eye"
    assert reading.uncertainty.de00 >= 4  # far wider than any scan's
    assert reading.placement is not None
    assert reading.placement.scale_x == pytest.approx(0.995)
    assert reading.attributes["eye_drag_this_side"].value == 1.0
    assert reading.attributes["eye_drag_other_side"].value == 0.0
    assert all(one.sd is not None and one.sd > 0 for one in reading.attributes.values())
    assert reading.notices == ()
    assert reading.flaws == ()
    assert "unfit" not in reading.attributes


def test_the_ends_of_the_ramp_are_the_steps_that_the_sheet_has() -> None:
    levels = sorted({patch.rgb[0] for patch in planned().patches if len(set(patch.rgb)) == 1})
    found = read_answers(Answers(dark_steps_alike=3, light_steps_alike=2), planned(), trial=TRIAL).attributes
    assert found["shadow_step"].value == levels[4]
    assert found["highlight_step"].value == levels[-4]


def test_patches_are_given_only_where_greys_were_looked_at() -> None:
    assert read_answers(Answers(creep="much"), planned(), trial=TRIAL).patches == ()
    ramp = read_answers(Answers(dark_steps_alike=4), planned(), trial=TRIAL).patches
    assert {len(set(patch.rgb or ())) for patch in ramp} == {1}
    light = [patch.lab[0] for patch in ramp]
    assert light == sorted(light)
    assert len(set(light[:5])) == 1  # what looked like black is given as black
    assert all((patch.sd or 0) >= 6 for patch in ramp)


@pytest.mark.parametrize(
    ("tint", "a", "b"), [("red", 1, 1), ("green", -1, 1), ("blue", 1, -1), ("yellow", 0, 1), ("cyan", -1, -1)]
)
def test_a_tint_points_to_its_quarter_of_the_colour_circle(tint: str, a: int, b: int) -> None:
    given = answers_from({"greys_tint": tint, "tint_strength": "strong"})
    found = read_answers(given, planned(), trial=TRIAL).attributes
    for name, sign in (("eye_tint_a", a), ("eye_tint_b", b)):
        assert sign == 0 or found[name].value * sign > 0
    assert found["eye_tint_a"].value ** 2 + found["eye_tint_b"].value ** 2 == pytest.approx(4.0)


# Hue angles, CIELAB, of what sRGB (IEC 61966-2-1) asks for: soft colours in the middle, and what is named beside them.
@pytest.mark.parametrize(
    ("hue", "back", "its_angle", "on"),
    [("blues", ("greener", 197.0), 290.0, ("redder", 325.0)), ("purples", ("bluer", 290.0), 325.0, ("redder", 386.0)),
     ("reds", ("bluer", -34.0), 26.0, ("yellower", 95.0))],
)  # fmt: skip
def test_a_hue_that_has_turned_anticlockwise_is_above_nothing(
    hue: str, back: tuple[str, float], its_angle: float, on: tuple[str, float]
) -> None:
    for words, towards in (back, ("same", its_angle), on):
        given = answers_from({f"soft_{hue}_hue_beside_good": words})
        found = read_answers(given, planned(), trial=TRIAL).attributes
        assert found[f"eye_soft_{hue}_hue"].value == np.sign(towards - its_angle)
    with pytest.raises(BadRequest):
        answers_from({f"soft_{hue}_hue_beside_good": "more"})


@pytest.mark.parametrize(
    "changes",
    [
        {"black_beside_good": "much-less", "colour_beside_good": "more"},
        {"creep": "much", "smallest_reversed_type_pt": 3},
        {"greys_tint": "none", "tint_strength": "strong"},
        {"ruler_across_mm": (100, 60)},
        {"beside_screen": "more", "colour_beside_good": "much-less"},
    ],
)
def test_answers_that_contradict_each_other_count_for_less(changes: dict[str, object]) -> None:
    odd = answers_from({**GOOD.model_dump(exclude_none=True), **changes})
    plain, doubted = (read_answers(one, planned(), trial=TRIAL) for one in (GOOD, odd))
    assert doubted.flaws
    assert {flaw.code for flaw in doubted.flaws} <= {notice.code for notice in doubted.notices}
    assert all("contradict" in str(notice) for notice in doubted.notices)
    assert doubted.attributes["unfit"].value == max(flaw.degree for flaw in doubted.flaws) >= 0.5
    assert doubted.uncertainty.de00 > plain.uncertainty.de00
    kept = doubted.attributes["eye_drag_this_side"]
    assert (kept.sd or 0) > (plain.attributes["eye_drag_this_side"].sd or 0)


def test_what_is_missing_or_too_early_is_said() -> None:
    alone = read_answers(Answers(dark_steps_alike=0, drying_hours=0.3), planned(), trial=TRIAL)
    assert [notice.code for notice in alone.notices] == ["eye.nothing-beside", "eye.half-wet"]
    assert [flaw.code for flaw in alone.flaws] == ["eye.half-wet"]


def test_no_answer_is_no_reading() -> None:
    with pytest.raises(BadRequest) as refusal:
        read_answers(Answers(), planned(), trial=TRIAL)
    assert refusal.value.message.code == "eye.nothing-answered"


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"creep": "perhaps"}, "eye.no-answer"),
        ({"dark_steps_alike": "-2"}, "eye.no-number"),
        ({"glow": "1"}, "eye.unknown-question"),
    ],
)
def test_a_wrong_answer_is_told_with_the_right_ones(given: dict[str, object], code: str) -> None:
    with pytest.raises(BadRequest) as refusal:
        answers_from(given)
    said = refusal.value.message
    assert said.code == code
    assert said.value("question") == next(iter(given))
    if code == "eye.no-answer":
        assert said.value("choices") == ("no", "slightly", "much")


def test_the_form_asks_each_question_once_and_takes_silence() -> None:
    words = {
        "dark_steps_alike": "2",
        "greys_tint": "red",
        "tint_strength": "slight",
        "ruler_across_mm": "100 99",
        "missing_inks": "c, k",
    }
    put: list[str] = []

    def person(question: Question) -> str:
        put.append(question.field)
        return words.get(question.field, "")

    answers = asked(person)
    assert answers == Answers(
        dark_steps_alike=2,
        greys_tint="red",
        tint_strength="slight",
        ruler_across_mm=(100, 99),
        missing_inks=("c", "k"),
    )
    assert put == [question.field for question in QUESTIONS]
    # One word for hues, and words for soft colours beside the screen, are for answers that were written down before
    # their number, or the swatches, were asked for.
    earlier = {"hues", "soft_cyans_beside_screen", "soft_reds_beside_screen"}
    assert {question.field for question in QUESTIONS} | earlier == set(Answers.model_fields)


def test_any_single_choice_gives_a_reading() -> None:
    pairs = itertools.chain.from_iterable(
        ((one.field, choice) for choice in one.choices) for one in QUESTIONS
    )
    for field, choice in pairs:
        reading = read_answers(answers_from({field: choice}), planned(), trial=TRIAL)
        assert reading.kind == "eye"


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.field)
def test_each_question_has_its_words(question: Question) -> None:
    entry_of(question.words.code)  # raises where the catalogue lacks it
    assert question.field in Answers.model_fields
