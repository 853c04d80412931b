"""Two trials that differ in one setting are compared directly: the difference is that setting's doing."""

from __future__ import annotations

from typing import Any

import pytest

from tackside.messages.message import Message
from tackside.records import Settings
from tackside.records.verdict import Measure
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.measures.compare import compared, differing
from tests.verdict.readings import reading, trial


def settings(**noted: Any) -> Settings:
    return Settings(**{"media_setting": "Photo satin", "quality": "best", **noted})


HERE = trial(settings=settings(), name="HERE")
THERE = trial(settings=settings(media_setting="Plain"), name="THERE")


def measures(
    black: float, line_gain: float | None = None, cast: float = 1.0, sd: float = 0.3
) -> dict[str, Measure]:
    found = {
        "black_l": Measure(value=black, unit="L*", sd=sd),
        "grey_balance_mean": Measure(value=cast, unit="ΔCh", sd=sd),
    }
    return found if line_gain is None else found | {"line_gain": Measure(value=line_gain, unit="µm", sd=3.0)}


def test_what_differs_is_named_and_what_is_not_known_of_both_is_no_difference() -> None:
    assert differing(HERE, HERE) == ()
    assert differing(HERE, THERE) == ("media_setting",)
    assert differing(HERE, trial(settings=Settings(quality="draft"), name="B")) == ("quality",)
    assert differing(HERE, trial(name="C")) == ()  # nothing was noted there
    assert differing(HERE, trial(side="back", settings=settings(), name="D")) == ("side",)


def test_one_setting_is_told_with_what_it_did() -> None:
    (sentence,) = compared(HERE, THERE, measures(15.0, 20.0), measures(24.0, 45.0))
    assert sentence == Message(
        "verdict.only-setting",
        setting=Message("verdict.setting.media-setting"),
        there="Plain",
        here="Photo satin",
        changes=[  # the greys' cast did not change
            Message("verdict.changed.black", there=24.0, here=15.0),
            Message("verdict.changed.lines", there=45.0, here=20.0),
        ],
    )


def test_a_change_within_chance_is_not_told_as_one() -> None:
    (sentence,) = compared(HERE, THERE, measures(15.0, cast=2.0, sd=1.0), measures(15.4, cast=3.2, sd=1.0))
    assert sentence.code == "verdict.only-setting-changed-nothing"


@pytest.mark.parametrize(
    "other",
    [
        trial(settings=settings(media_setting="Plain", quality="draft"), name="TWO"),
        trial(settings=settings(), name="NONE"),
        trial(side="back", settings=settings(), name="SIDE"),
        trial(side="back", settings=settings(media_setting="Plain"), name="BOTH"),
    ],
    ids=["two settings", "none", "the side alone", "a setting and the side"],
)
def test_nothing_is_laid_at_a_settings_door_unless_it_alone_differs(other: Any) -> None:
    assert compared(HERE, other, measures(15.0), measures(24.0)) == ()


def test_the_verdict_says_it_where_both_were_read_alike_and_not_else() -> None:
    here, there = reading(), reading(black=24.0, chroma=0.6)
    said = judge(KnownPrint(here, trial=HERE, reference=KnownPrint(there, THERE))).reasons
    assert "verdict.only-setting" in {reason.code for reason in said}
    unlike = reading(black=24.0, key="scanner A")
    said = judge(KnownPrint(here, trial=HERE, reference=KnownPrint(unlike, THERE))).reasons
    assert "verdict.only-setting" not in {reason.code for reason in said}
