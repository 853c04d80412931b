"""What answers by eye say of the causes.

How sure it is to be, and the figures of each invented print, are this project's own choice: docs/sources.md, S54.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
import pytest
from training.simulated_by_eye import answered

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.reading.eye import Steps, read_answers
from tackside.reading.eye_questions import answers_from
from tackside.records import Settings, Verdict
from tackside.records.verdict import Cause
from tackside.verdict.causes.answers import drag_odds
from tackside.verdict.causes.diagnosis import circumstances
from tackside.verdict.classifier.answer_features import ATTRIBUTES, answer_features
from tackside.verdict.classifier.likelihoods import BY_EYE, trained_weights
from tackside.verdict.explain.answers import answers_in_words
from tackside.verdict.explain.head import head_of
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.readings import trial

SOUND: dict[str, Any] = {
    "creep": "no", "drag_this_side": "yes", "beside_screen": "same", "greys_tint": "none", "light_lines": "none",
    "doubled_lines": "none", "missing_inks": [], "black_beside_good": "same", "colour_beside_good": "same",
    "middle_beside_good": "same", "light_greens_beside_good": "same", "hues_off": 0, "ruler_across_mm": [100, 100],
    "ruler_along_mm": [100, 100],
}  # fmt: skip


def verdict(space: Literal["srgb", "adobe-rgb"] = "srgb", **answered: Any) -> Verdict:
    given = {name: said for name, said in {**SOUND, **answered}.items() if said is not None}
    one = trial(space=space)
    return judge(KnownPrint(read_answers(answers_from(given), one.sheet, trial=one.id), trial=one))


def causes(**answered: Any) -> dict[str, float]:
    return dict(verdict(**answered).causes)


def test_nothing_out_of_the_way_is_nothing_wrong() -> None:
    assert causes()["none"] > 0.7


@pytest.mark.parametrize(
    ("cause", "answered"),
    [
        ("missing-ink", {"missing_inks": ["m"], "hues_off": 3, "colour_beside_good": "less"}),
        (
            "missing-ink",
            {
                "missing_inks": ["m"], "hues_off": None, "hues": "wrong",
                "greys_tint": "green", "tint_strength": "strong",
            },
        ),
        (
            "narrow-read-as-wide",
            {
                "light_greens_beside_good": "more", "colour_beside_good": "more",
                "soft_cyans_beside_good": "much-more",
            },
        ),
        ("alignment", {"doubled_lines": "vertical"}),
        ("scaling", {"ruler_across_mm": [100, 97], "ruler_along_mm": [100, 97]}),
        ("unmanaged", {"greys_tint": "red", "tint_strength": "strong", "middle_beside_good": "darker"}),
        ("managed-twice", {"greys_tint": "cyan", "tint_strength": "strong", "middle_beside_good": "lighter"}),
        (
            "too-little-ink",
            {"black_beside_good": "less", "colour_beside_good": "less", "middle_beside_good": "lighter"},
        ),
    ],
)  # fmt: skip
def test_the_plain_answers_of_a_fault_name_it(cause: str, answered: dict[str, Any]) -> None:
    # docs/sources.md, S50.
    found = causes(**answered)
    assert max(found, key=lambda one: found[one]) == cause


def test_a_pale_furred_print_where_no_finger_drags_is_the_cards_fault() -> None:
    found = causes(
        black_beside_good="much-less", colour_beside_good="less", creep="much", drag_this_side="no"
    )
    assert found["stock"] + found["side"] > 0.8


def test_a_drag_on_the_other_side_tells_the_side_from_the_stock() -> None:
    pale = {"black_beside_good": "much-less", "creep": "much", "drag_this_side": "no"}
    drags, glides = (causes(**pale, drag_other_side=word) for word in ("yes", "no"))
    assert drags["side"] > drags["stock"]
    assert glides["stock"] > glides["side"]
    assert drag_odds(None) == 0.0


def test_light_greens_that_fade_most_are_a_wide_space_read_as_narrow() -> None:
    # sRGB and Adobe RGB (1998) share red and blue, and differ in green alone.
    faded = {"light_greens_beside_good": "much-less", "colour_beside_good": "less"}
    found = verdict("adobe-rgb", **faded, soft_cyans_beside_good="less").causes
    assert max(found, key=lambda one: found[one]) == "wide-read-as-narrow"
    # Where nobody looked at soft colours, which every card holds, or nothing else fades, it is the first to be looked
    # into after nothing at all.
    for few in (faded, {"light_greens_beside_good": "much-less"}):
        alone = verdict("adobe-rgb", **few).causes
        assert sorted(alone, key=lambda one: -alone[one])[:2] == ["none", "wide-read-as-narrow"]
    # A sheet in sRGB hardly suffers it.
    assert causes(**faded)["wide-read-as-narrow"] < 0.25


def test_a_fault_that_is_hardly_likelier_than_none_accuses_nobody() -> None:
    # Light greens and full colours glow: as a space misread does, or many a way into gamut. Soft colours would tell.
    few = {"light_greens_beside_good": "more", "colour_beside_good": "more"}
    found = causes(**few)
    assert sorted(found, key=lambda one: -found[one])[:2] == ["none", "narrow-read-as-wide"]
    assert found["narrow-read-as-wide"] > 0.15
    # Said with the caution that it deserves, and plainly where the rest speaks for it. (Where still more dark steps
    # look alike, colours that glow are more likely too much ink.)
    doubtful, plain = verdict(dark_steps_alike=10, **few), verdict(dark_steps_alike=10)
    assert str(head_of(doubtful).why).startswith("Nothing is sure")
    assert "Nothing is sure" not in str(head_of(plain).why)
    alike = causes(**few, **SOFT_ALIKE)
    assert alike["narrow-read-as-wide"] < found["narrow-read-as-wide"] / 4


SOFT_ALIKE = {f"soft_{hue}_beside_{what}": "same" for hue in ("cyans", "reds") for what in ("good", "screen")}


_SOFT = ("cyans", "reds", "greens", "purples")
# The file's own swatches, every one.
MATCH: dict[str, Any] = {
    "greys_match": 0,
    **{f"soft_{hue}_match": (0, 0) for hue in _SOFT},
    **{f"soft_{hue}_hue_match": 0 for hue in _SOFT},
}
# What is asked where no good print is at hand.
ALONE: dict[str, Any] = {name: None for name in SOUND if name.endswith("_good")} | {"dark_steps_alike": 2}


@pytest.mark.parametrize(
    ("space", "cause", "cyans", "reds", "greens"),
    [
        ("adobe-rgb", "wide-read-as-narrow", (0, -2), (-1, -1), (0, -1)),
        ("srgb", "narrow-read-as-wide", (0, 2), (1, 1), (0, 1)),
    ],
)
def test_swatches_tell_a_space_misread_with_no_good_print_at_hand(
    space: Literal["srgb", "adobe-rgb"], cause: Cause, cyans: Steps, reds: Steps, greens: Steps
) -> None:
    # What the definitions of the spaces alone move a patch by, in whole steps; greens and purples turn by one.
    turned = 1 if space == "srgb" else -1
    misread = MATCH | {
        "soft_cyans_match": cyans,
        "soft_reds_match": reds,
        "soft_greens_match": greens,
        "soft_greens_hue_match": turned,
        "soft_purples_match": (reds[0], 0),
        "soft_purples_hue_match": turned,
    }
    found, kept, without = (verdict(space, **ALONE, **each).causes for each in (misread, MATCH, {}))
    assert found[cause] > 2 * without[cause]
    assert found[cause] > 8 * kept[cause]
    assert kept["none"] > without["none"]


def test_a_screen_that_shows_all_colours_weaker_is_no_fault() -> None:
    # Then every colour looks stronger than its own swatch, by as much.
    weak = MATCH | {f"soft_{hue}_match": (0, 1) for hue in _SOFT}
    assert causes(**ALONE, **weak)["none"] > 0.5


def test_what_swatches_say_is_said_in_words() -> None:
    picked = {
        "greys_match": 1,
        "soft_cyans_match": (0, -2),
        "soft_reds_hue_match": -1,
        "soft_greens_hue_match": 0,
    }
    reading = read_answers(answers_from({**SOUND, **picked}), trial().sheet, trial="T")
    said = [str(each) for each in answers_in_words(reading)]
    assert [each for each in said if "file" in each] == [
        "The middle greys look lighter than the file's.",
        "The soft cyans look as light as the file's.",
        "The soft cyans look much weaker than the file's.",
        "The soft reds look bluer than the file's.",
        "The soft greens have the file's hue.",
    ]


@pytest.mark.parametrize(
    ("space", "cause", "cyans", "reds"),
    [
        ("adobe-rgb", "wide-read-as-narrow", "much-less", "less"),
        ("srgb", "narrow-read-as-wide", "much-more", "more"),
    ],
)
def test_soft_cyans_that_change_more_than_soft_reds_are_a_space_misread(
    space: Literal["srgb", "adobe-rgb"], cause: Cause, cyans: str, reds: str
) -> None:
    # The primaries of sRGB (IEC 61966-2-1) and Adobe RGB (1998) differ in green alone. All else looks alike: a way that
    # brings full colours into gamut hides the fault there.
    changed = {name: cyans if "cyans" in name else reds for name in SOFT_ALIKE}
    found = verdict(space, **changed).causes
    assert max(found, key=lambda one: found[one]) == cause
    # A space that fits the file makes nothing of it, and a sheet in the other space does not suffer it.
    assert verdict(space, **SOFT_ALIKE).causes["none"] > verdict(space).causes["none"]


def test_soft_colours_left_out_say_nothing() -> None:
    # Forms that were filled in before these were asked.
    alone = read_answers(answers_from(SOUND), trial().sheet, trial="T")
    assert not [name for name in alone.attributes if "soft" in name]
    assert max(causes().values()) == causes()["none"]


@pytest.mark.parametrize(
    ("likelier", "than", "turned"),
    [("managed-twice", "unmanaged", {"reds": "bluer", "purples": "bluer", "blues": "same"}),
     ("unmanaged", "managed-twice", {"reds": "yellower", "purples": "redder", "blues": "redder"})],
)  # fmt: skip
def test_the_hue_of_soft_colours_parts_colours_managed_twice_from_those_not_managed(
    likelier: Cause, than: Cause, turned: dict[str, str]
) -> None:
    told = {f"soft_{hue}_hue_beside_good": word for hue, word in turned.items()}
    alike = dict.fromkeys(told, "same")
    for rest in ({}, {"beside_screen": "more"}, {"middle_beside_good": "darker"}):
        plain, kept, asked = (causes(**rest, **hues) for hues in ({}, alike, told))
        assert asked[likelier] / asked[than] > 4 * plain[likelier] / plain[than]
        assert asked["none"] < kept["none"]
    reading = read_answers(answers_from({**SOUND, **told}), trial().sheet, trial="T")
    said = {str(each) for each in answers_in_words(reading)}
    words = {hue: word for hue, word in turned.items() if word != "same"}
    assert said >= {f"The soft {hue} are {word} than the good print's." for hue, word in words.items()}


def test_hues_exchanged_with_all_inks_there_are_a_fault_that_nobody_knows() -> None:
    found = causes(hues_off=4)
    assert max(found, key=lambda one: found[one]) == "unknown"


def test_a_wrong_hue_alone_raises_the_unknown_and_accuses_nobody() -> None:
    found = causes(hues_off=None, hues="wrong")
    assert found["unknown"] > 5 * causes(hues_off=None, hues="right")["unknown"]
    assert max(found, key=lambda one: found[one]) == "none"


NEEDED = ("colour-beside-good", "black-beside-good", "hues-off")


@pytest.mark.parametrize("said", [{"drying_hours": 24}, {"creep": "no"}, {"drag_this_side": "yes"}])
def test_one_trivial_answer_gives_no_grade_and_the_missing_questions_are_named(said: dict[str, Any]) -> None:
    with pytest.raises(BadRequest) as refused:
        verdict(**{**dict.fromkeys(SOUND), **said})
    assert refused.value.message.code == "verdict.too-few-answers"
    assert refused.value.message.value("missing") == tuple(
        Message(f"eye.ask-{question}") for question in NEEDED
    )


@pytest.mark.parametrize("left_out", ["colour_beside_good", "black_beside_good", "hues_off"])
def test_each_of_the_three_that_matter_is_asked_for(left_out: str) -> None:
    with pytest.raises(BadRequest) as refused:
        verdict(**{left_out: None, "beside_screen": None, "dark_steps_alike": None})
    (missing,) = refused.value.message.value("missing")
    assert missing == Message(f"eye.ask-{left_out.replace('_', '-')}")


def test_the_fewest_answers_that_are_enough_leave_what_is_common() -> None:
    few = {"beside_screen": "same", "dark_steps_alike": 2, "hues_off": 0}
    found = causes(**{**dict.fromkeys(SOUND), **few})
    assert max(found, key=lambda one: found[one]) == "none"
    assert found["none"] < 0.9


def _graded(alike: int, compensated: bool | None, **answered: Any) -> str:
    one, given = trial(), {**SOUND, "dark_steps_alike": alike, **answered}
    answers = answers_from({name: said for name, said in given.items() if said is not None})
    settings = Settings(intent="relative", black_point_compensation=compensated)
    noted = one.model_copy(update={"settings": settings})
    return judge(KnownPrint(read_answers(answers, one.sheet, trial=one.id), trial=noted)).grade


def test_shadows_are_held_against_what_the_path_can_show() -> None:
    # The step at 0.2 is the first told from black: what lies below is hidden by the card's black without compensation
    # (docs/sources.md, S104), and lost with it.
    levels = sorted({patch.rgb[0] for patch in trial().sheet.patches if len(set(patch.rgb)) == 1})
    alike = levels.index(0.2) - 1
    unseen = {"black_beside_good": None}
    # One step more may be how somebody counts; two are not.
    for more, grades in ((0, ("send",) * 3), (1, ("send",) * 3), (2, ("reject", "draft", "draft"))):
        for compensated, grade in zip((True, False, None), grades, strict=True):
            assert _graded(alike + more, compensated, **unseen) == grade


def test_shadows_that_close_over_a_black_as_deep_as_a_good_prints_cost_one_grade() -> None:
    # They are the path's doing then, and the card holds them (this project's own).
    for compensated in (True, None):
        assert _graded(12, compensated) == "send"
        assert _graded(12, compensated, black_beside_good="less") != "send"


def test_a_screen_counts_only_where_no_good_print_lay_beside() -> None:
    assert verdict(beside_screen="much-less").grade == "sell"
    # Screens differ by more than that, so that it costs one grade, and no more.
    alone = {"colour_beside_good": None, "black_beside_good": None, "dark_steps_alike": 2}
    assert verdict(beside_screen="same", **alone).grade == "sell"
    assert verdict(beside_screen="much-less", **alone).grade == "send"
    # Where type in black fills as well, the card may be bare, and there is no saying that it is more than a draft.
    filled = {"smallest_reversed_type_pt": 9.0, "creep": "slightly", "drag_this_side": None}
    assert verdict(beside_screen="much-less", **(alone | filled)).grade == "draft"


def test_white_type_that_fills_speaks_for_bare_card() -> None:
    # Common practice: uncoated paper needs larger white type than coated.
    small, large = (causes(smallest_reversed_type_pt=size) for size in (4.0, 9.0))
    assert large["stock"] + large["side"] > 2 * (small["stock"] + small["side"])


def test_bare_card_is_a_draft_at_best_whatever_single_answers_allow() -> None:
    pale = verdict(black_beside_good="less", colour_beside_good="less", creep="slightly", drag_this_side="no")
    assert pale.causes["stock"] + pale.causes["side"] > 0.5
    assert pale.grade == "draft"


def test_a_missing_ink_that_the_answers_bear_out_is_a_draft() -> None:
    gone = verdict(missing_inks=["m"], hues_off=3, colour_beside_good="less")
    assert gone.grade == "draft"
    slip = verdict(missing_inks=["m"])
    assert slip.causes["missing-ink"] < 0.2
    assert slip.grade == "sell"


def test_reasons_name_the_answers_for_and_against() -> None:
    found = verdict(
        black_beside_good="much-less", colour_beside_good="less", creep="much", drag_this_side="no"
    )
    of_card = [one for one in found.evidence if one.cause == "stock"]
    says = {one.sentence.value("says"): one.sentence for one in of_card if one.weight > 0}
    assert Message("evidence.eye.finger-slides") in says
    said = says[Message("evidence.eye.black-much-greyer")]
    assert said.code == "evidence.by-eye.for"
    assert said.value("cause") == Message("cause.stock")
    assert str(said).startswith(
        "The black is much greyer than the good print's. By eye, that speaks for the card itself"
    )
    against = verdict(black_beside_good="much-less", creep="much", drag_this_side="yes")
    drags = [
        one
        for one in against.evidence
        if one.cause == "stock" and one.sentence.value("says") == Message("evidence.eye.finger-drags")
    ]
    assert drags
    assert all(one.weight < 0 and one.sentence.code == "evidence.by-eye.against" for one in drags)


def test_the_answers_that_the_weights_take_are_those_that_a_form_gives() -> None:
    one = trial()
    hues = {f"soft_{hue}_hue_beside_good": "same" for hue in ("purples", "blues", "reds")}
    everything = answers_from(
        {**SOUND, **SOFT_ALIKE, **hues, **MATCH, "hues": "right", "dark_steps_alike": 1}
    )
    reading = read_answers(everything, one.sheet, trial=one.id)
    assert set(ATTRIBUTES) <= set(reading.attributes)
    of = circumstances(reading, one, None, "typical")
    size = 2 * len(ATTRIBUTES)
    row = answer_features(reading, of)
    assert (row[1:size:2] == 1.0).all()
    empty = answer_features(reading.model_copy(update={"attributes": {}}), of)
    assert (empty[:size] == 0.0).all()
    assert (empty[size:] == row[size:]).all()


def test_invented_people_never_seen_are_understood() -> None:
    # A seed that the training does not use (its blocks begin at 1000).
    shown, states = answered(400, seed=5)
    weights = trained_weights(BY_EYE)
    logs = weights.log_likelihoods(shown) + np.log(weights.shares)
    chances = np.exp(logs) / np.exp(logs).sum(axis=1, keepdims=True)
    right = chances.argmax(axis=1) == states
    likeliest = chances.max(axis=1)
    # 60.6 % of the 5 000 held back when they were trained, many of them with few answers and through paths that bring
    # all colours into gamut (training/train_causes.py); under this once in a thousand runs of 400.
    assert right.mean() > 0.52
    # Right as often as stated, within three standard errors.
    assert abs(likeliest.mean() - right.mean()) < 3 * np.sqrt((likeliest * (1 - likeliest)).sum()) / len(
        right
    )
    assert np.mean([weights.likeness(row) == 1.0 for row in shown]) > 0.97
