"""The verdict as a whole: grade, estimate, comparison, reasons."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records import GRADES, PatchReading, Verdict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.readings import reading, trial


def value(verdict: Verdict, name: str) -> float:
    found = verdict.measures[name].value
    assert isinstance(found, float)
    return found


@pytest.mark.parametrize(
    ("look", "grades"),
    [
        ({"black": 6.0, "chroma": 0.9}, {"sell"}),  # gloss
        (
            {"black": 16.0, "chroma": 0.75},
            {"sell"},
        ),  # cotton and matt coated (docs/sources.md, S26: black L* 15 to 18)
        ({"black": 22.0, "chroma": 0.65}, {"send"}),
        ({"black": 29.0, "chroma": 0.55}, {"draft"}),  # no inkjet coating (docs/sources.md, S27: 27 to 38)
        ({"black": 37.0, "chroma": 0.4}, {"reject"}),
    ],
)
def test_prints_grade_by_their_class(look: dict[str, float], grades: set[str]) -> None:
    assert judge(KnownPrint(reading(**look), trial=trial())).grade in grades


def test_reasons_open_with_the_grade_and_what_holds_it_down_with_its_figure() -> None:
    verdict = judge(KnownPrint(reading(black=29.0, chroma=0.55), trial=trial()))
    assert verdict.reasons[0] == Message("verdict.graded.draft", grade="draft")
    assert verdict.reasons[1] == Message("rule.black.washed-out", rule="black", value=29.0, limit=20.0)
    assert all(str(reason).endswith(".") for reason in verdict.reasons)


def test_a_scan_without_a_reference_is_an_estimate_and_says_so() -> None:
    scanned = judge(KnownPrint(reading(kind="scan", key="scanner A, 300 ppi", de00=2.5), trial=trial()))
    assert scanned.estimate
    assert scanned.reasons[0].code == f"verdict.graded-from-a-scan.{scanned.grade}"
    assert "verdict.from-a-scan" in {notice.code for notice in scanned.notices}
    measured = judge(KnownPrint(reading(), trial=trial()))
    assert not measured.estimate
    assert measured.reasons[0].code == f"verdict.graded.{measured.grade}"
    assert "estimate" not in " ".join(map(str, (*measured.reasons, *measured.notices)))


def test_an_estimates_figures_are_wide_enough_for_close_calls() -> None:
    scanned = judge(KnownPrint(reading(kind="scan", key="scanner A", de00=2.5, black=17.5), trial=trial()))
    close = next(rule.close_call for rule in scanned.rules if rule.rule == "black")
    assert close in scanned.reasons


def test_shares_of_a_comparable_reference() -> None:
    good, weak = reading(black=15.0), reading(black=31.0, chroma=0.375)
    verdict = judge(KnownPrint(weak, trial=trial(), reference=KnownPrint(good, trial(name="GOOD"))))
    assert verdict.against == "GOOD"
    assert value(verdict, "share_l_range") == pytest.approx(64 / 80, abs=1e-6)
    assert value(verdict, "share_chroma") == pytest.approx(0.5, abs=0.02)  # half the chroma was asked of it
    # Half the chroma both ways over 0.8 of the range: a fifth of the volume, but for the paper's own tint.
    assert value(verdict, "share_gamut_volume") == pytest.approx(0.8 * 0.25, abs=0.01)
    assert verdict.measures["share_gamut_volume"].method == verdict.measures["gamut_volume"].method
    assert "verdict.beside-print" in {reason.code for reason in verdict.reasons}


def test_a_reading_beside_itself_is_its_equal() -> None:
    same = judge(KnownPrint(reading(), trial=trial(), reference=KnownPrint(reading(), trial(name="SAME"))))
    for name in ("share_l_range", "share_chroma", "share_gamut_volume"):
        assert value(same, name) == 1


@pytest.mark.parametrize(("mine", "theirs"), [("scanner A", "scanner B"), ("scanner A", "colorimetric")])
def test_readings_of_different_scanners_are_never_ranked(mine: str, theirs: str) -> None:
    verdict = judge(
        KnownPrint(
            reading(kind="scan", key=mine),
            trial=trial(side="back"),
            reference=KnownPrint(reading(key=theirs, black=5.0), trial(name="OTHER")),
        )
    )
    assert not [name for name in verdict.measures if name.startswith("share")]
    assert "verdict.beside-print" not in {reason.code for reason in verdict.reasons}
    assert any(notice.code == "verdict.not-read-alike" for notice in verdict.notices)
    assert (
        verdict.causes == judge(KnownPrint(reading(kind="scan", key=mine), trial=trial(side="back"))).causes
    )


def test_measurements_under_unlike_lamps_are_remarked_on() -> None:
    # ISO 13655: M1 has UV, M2 has none.
    def beside(condition: str) -> tuple[str, ...]:
        other = reading(more={"condition": condition})
        return judge(KnownPrint(reading(more={"condition": "M1"}), reference=KnownPrint(other))).notices

    assert Message("verdict.conditions-differ", one="M1", other="M2") in beside("M2")
    assert beside("M1") == ()


def test_two_scans_of_one_scanner_are_ranked_and_still_estimates() -> None:
    one, other = (reading(kind="scan", key="scanner A", black=black) for black in (16.0, 12.0))
    verdict = judge(KnownPrint(one, trial=trial(), reference=KnownPrint(other, trial(name="OTHER"))))
    assert verdict.estimate
    assert "share_l_range" in verdict.measures


def test_unlike_volumes_are_not_set_beside_each_other() -> None:
    whole = reading()
    bare = tuple(PatchReading(name=patch.name, rgb=None, lab=patch.lab) for patch in whole.patches)
    verdict = judge(KnownPrint(whole, reference=KnownPrint(whole.model_copy(update={"patches": bare}))))
    # The other reading has no device numbers, hence no solid: only its hull is like for like.
    assert "share_gamut_volume" not in verdict.measures or (
        verdict.measures["share_gamut_volume"].method == "convex hull"
    )
    assert "share_chroma" not in verdict.measures


@pytest.mark.parametrize(
    ("patches", "code"),
    [
        ((), "measure.no-patches"),
        ((PatchReading(name="w", rgb=(1, 1, 1), lab=(95, 0, -2)),), "measure.no-black-patch"),
        ((PatchReading(name="w", rgb=None, cmyk=(0, 0, 0, 0), lab=(95, 0, -2)),), "measure.no-solid-black"),
        ((PatchReading(name="w", rgb=None, lab=(95, 0, -2)),), "measure.black-not-named"),
    ],
)
def test_a_reading_without_a_black_gets_no_grade(patches: tuple[PatchReading, ...], code: str) -> None:
    with pytest.raises(BadRequest) as error:
        judge(KnownPrint(reading().model_copy(update={"patches": patches})))
    assert error.value.message.code == code


def test_a_device_sheet_measures_the_card_and_has_no_path() -> None:
    verdict = judge(KnownPrint(reading(black=16.0), trial=trial(purpose="device")))
    assert verdict.path is None
    assert verdict.card is not None
    assert not verdict.card.inferred
    assert verdict.card.black_l.value == pytest.approx(16.0)
    assert verdict.card.gamut is not None
    assert verdict.card.gamut.value == pytest.approx(value(verdict, "gamut_corners") / 1e3)
    assert verdict.card.sentence.code == "verdict.card.measured"
    bare = judge(KnownPrint(reading(black=16.0)))
    assert bare.card == verdict.card


def test_a_path_sheet_tells_card_and_path_apart_and_the_print_is_the_worse_of_both() -> None:
    sound = judge(KnownPrint(reading(black=16.0), trial=trial()))
    assert sound.card is not None
    assert sound.path is not None
    assert sound.card.inferred
    assert sound.path.sentence.code == "verdict.path.sound"
    tinted = judge(KnownPrint(reading(black=16.0, cast=(9.0, 9.0)), trial=trial()))
    assert tinted.card is not None
    assert tinted.path is not None
    assert tinted.card.grade == sound.card.grade
    assert tinted.path.grade == tinted.grade != "sell"
    assert tinted.path.sentence.value("by") == (Message("rule.name.greys"),)
    pale = judge(KnownPrint(reading(black=29.0, chroma=0.55), trial=trial()))
    assert pale.card is not None
    assert pale.card.grade == pale.grade == "draft"


@settings(max_examples=25, deadline=None)
@given(black=st.floats(5, 40), chroma=st.floats(0.2, 1.0), cast=st.floats(0, 15), closed=st.floats(0, 0.3))
def test_no_part_of_a_print_is_worse_than_the_whole(
    black: float, chroma: float, cast: float, closed: float
) -> None:
    look = {"black": black, "chroma": chroma, "cast": (cast, 0.0), "closed": closed}
    verdict = judge(KnownPrint(reading(**look), trial=trial()))
    assert verdict.card is not None
    assert verdict.path is not None
    assert GRADES.index(verdict.grade) == max(
        GRADES.index(part.grade) for part in (verdict.card, verdict.path)
    )


@settings(max_examples=60, deadline=None)
@given(
    labs=st.lists(
        st.tuples(st.floats(0, 110), st.floats(-150, 150), st.floats(-150, 150)), min_size=1, max_size=12
    ),
    sd=st.one_of(st.none(), st.floats(0, 50)),
    de00=st.floats(0, 20),
)
@example(labs=[(0.0, 0.0, 1.1e-308)], sd=None, de00=4.0)
@example(labs=[(0.0, 0.0, 6.6e-237)], sd=None, de00=1.0)
def test_any_colours_get_a_verdict_with_finite_figures(
    labs: list[tuple[float, float, float]], sd: float | None, de00: float
) -> None:
    sound = reading(sd=sd, de00=de00)
    patches = tuple(
        patch.model_copy(update={"lab": labs[i % len(labs)]}) for i, patch in enumerate(sound.patches)
    )
    verdict = judge(
        KnownPrint(sound.model_copy(update={"patches": patches}), trial=trial(), reference=KnownPrint(sound))
    )
    figures = [m.sd or 0.0 for m in verdict.measures.values()]
    figures += [m.value for m in verdict.measures.values() if isinstance(m.value, float)]
    assert np.isfinite(figures).all()
    assert sum(verdict.causes.values()) == pytest.approx(1)
    assert verdict.reasons


def test_the_same_reading_gives_the_same_figures() -> None:
    one, two = (judge(KnownPrint(reading(sd=1.0), trial=trial())) for _ in range(2))
    assert one.measures == two.measures
    assert one.causes == two.causes
