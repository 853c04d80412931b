"""Causes: probabilities, never more certain than the evidence.

Which symptom speaks for which cause is common practice, no source (docs/sources.md, S50). How sure the verdict is to
be, every chance that is asked for here and every invented look, is this project's own choice (S54),
unless a line says otherwise.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Literal, get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.colour.spaces import ADOBE_RGB, SRGB, rgb_to_xyz_d50, xyz_d50_to_rgb
from tackside.press.instrument import measure
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.reading.instrument.file import read_instrument_file
from tackside.records import Attribute, Cause, Placement, Reading, Settings
from tackside.records.sheet_plan import Space
from tackside.verdict.causes.symptoms import PRIORS, SYMPTOMS
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.printed import printed
from tests.verdict.readings import Floats, device_numbers, print_lab, reading, showing, stock, trial

WEAK = {"black": 31.0, "chroma": 0.45}
BOTH = {"coated": "both"}


def test_every_cause_has_a_prior() -> None:
    assert list(PRIORS) == list(get_args(Cause))
    assert sum(PRIORS.values()) == pytest.approx(1)
    for symptom in SYMPTOMS:
        assert all(0 < chance < 1 for chance in symptom.chances.values())


@settings(max_examples=30, deadline=None)
@given(black=st.floats(2, 45), chroma=st.floats(0.1, 1.0), cast=st.floats(-15, 15), closed=st.floats(0, 0.3))
def test_probabilities_sum_to_one(black: float, chroma: float, cast: float, closed: float) -> None:
    verdict = judge(
        KnownPrint(reading(black=black, chroma=chroma, cast=(cast, 0), closed=closed), trial=trial())
    )
    assert sum(verdict.causes.values()) == pytest.approx(1)
    assert all(0 <= chance < 1 for chance in verdict.causes.values())
    # Bare card and the bare side of a card look alike, and stand together against any other cause.
    bare = verdict.causes["stock"] + verdict.causes["side"]
    named = bare if verdict.cause in ("stock", "side") else verdict.causes[verdict.cause]
    assert named == max(bare, *verdict.causes.values())


def test_a_good_print_has_nothing_wrong() -> None:
    verdict = judge(KnownPrint(reading(), trial=trial(), stock=stock(coated="front")))
    assert (verdict.grade, verdict.cause) == ("sell", "none")
    assert verdict.causes["none"] > 0.7


def test_a_weak_print_of_which_nothing_is_known_points_at_the_card_but_not_for_certain() -> None:
    causes = judge(KnownPrint(reading(**WEAK))).causes
    assert causes["stock"] + causes["side"] > 0.6
    assert causes["too-little-ink"] > 0.1
    assert max(causes.values()) < 0.7


def test_what_is_known_of_the_stock_moves_the_odds() -> None:
    def chance(cause: Cause, side: str, **known: object) -> float:
        on = trial(side="back") if side == "back" else trial()
        return judge(KnownPrint(printed(on, matt_uncoated_back()), trial=on, stock=stock(**known))).causes[
            cause
        ]

    assert chance("side", "back", coated="front") > 0.6
    assert chance("side", "back", coated="front") > 4 * chance("side", "front", coated="front")
    assert chance("side", "front", coated="both") < 0.1
    assert chance("stock", "front", coated="none") > chance("stock", "front")
    # Coated on both sides: less likely the card's fault at all, and hardly the side's.
    card = [sum(chance(cause, "front", **known) for cause in ("stock", "side")) for known in ({}, BOTH)]
    odds = [chance / (1.0 - chance) for chance in card]
    assert odds[0] > 2 * odds[1]
    assert chance("stock", "front", sold_for_inkjet=False) > chance("stock", "front", sold_for_inkjet=True)


def test_the_other_side_of_the_same_card_tells_side_from_stock() -> None:
    back, front = trial(side="back", name="BACK"), trial(name="FRONT")
    weak, deep = printed(back, matt_uncoated_back()), printed(front, matt_coated())
    wrong_side = judge(KnownPrint(weak, trial=back, reference=KnownPrint(deep, front)))
    same = printed(front, matt_uncoated_back(), seed=2)
    no_gain = judge(KnownPrint(weak, trial=back, reference=KnownPrint(same, front)))
    assert wrong_side.cause == "side"
    assert wrong_side.causes["side"] > 0.7
    assert no_gain.causes["side"] < 0.1
    assert no_gain.cause == "stock"


@pytest.mark.parametrize(
    ("kind", "black", "serves"),
    [
        ("instrument", 20.9, True),
        ("instrument", 21.1, False),
        # One hundredth of white's light over L* 21 (Y = 3.24) is L* 24.5 (Y = 4.24): CIE 15:2018, 8.2.1.
        ("scan", 24.3, True),
        ("scan", 24.6, False),
    ],
)
def test_stray_light_makes_no_weak_print_of_a_good_one(
    kind: Literal["scan", "instrument"], black: float, serves: bool
) -> None:
    key = "scan | device glass | 300 ppi" if kind == "scan" else "colorimetric"
    one, other = (reading(kind=kind, key=key, black=each) for each in (18.0, black))
    verdict = judge(KnownPrint(one, trial(), reference=KnownPrint(other, trial(name="GOOD"))))
    assert any(each.code == "verdict.weak-print-beside" for each in verdict.notices) is not serves


def test_a_card_that_has_held_ink_is_coated_on_one_face() -> None:
    weak, good = printed(trial(), matt_uncoated_back()), printed(trial(name="GOOD"), matt_coated(), seed=2)
    of_another = trial(name="GOOD").model_copy(update={"stock": "Gannet Smooth 280"})
    bare, turned = (
        judge(KnownPrint(weak, trial(), reference=KnownPrint(good, its)))
        for its in (of_another, trial(name="GOOD"))
    )
    assert bare.cause == "stock"
    assert turned.cause == "side"
    assert turned.causes["stock"] < 0.1
    # What is left of the card itself goes to its other face, and not to what else may be wrong.
    assert turned.causes["side"] > 0.8 * (bare.causes["stock"] + bare.causes["side"])


@pytest.mark.parametrize("model", [semi_gloss(), matt_coated()], ids=lambda model: model.name)
def test_a_cast_in_the_greys_points_at_colour_management(model: StockModel) -> None:
    twice = judge(KnownPrint(printed(trial(), model, PrinterModel(managed="twice")), trial=trial()))
    assert twice.cause == "managed-twice"
    never = printed(trial(), model, PrinterModel(managed="nobody"))
    assert judge(KnownPrint(never, trial=trial())).cause == "unmanaged"
    nobody = trial(settings=Settings(colour_managed_by="nobody"))
    noted = judge(KnownPrint(never, trial=nobody))
    assert noted.causes["unmanaged"] >= judge(KnownPrint(never, trial=trial())).causes["unmanaged"]


@pytest.mark.parametrize("model", [semi_gloss(), matt_coated()], ids=lambda model: model.name)
def test_closed_shadows_with_a_deep_black_point_at_too_much_ink(model: StockModel) -> None:
    assert (
        judge(KnownPrint(printed(trial(), model, PrinterModel(ink=1.5)), trial=trial())).cause
        == "too-much-ink"
    )


def test_dull_colour_with_a_deep_black_points_at_the_space() -> None:
    dull = reading(chroma=0.38)
    assert judge(KnownPrint(dull, trial=trial(space="adobe-rgb"))).cause == "wide-read-as-narrow"
    assert judge(KnownPrint(dull, trial=trial(space="srgb"))).causes["wide-read-as-narrow"] < 0.2


def test_a_space_misread_is_named_beside_a_good_print() -> None:
    # The fault itself: a right path turns the sheet's Adobe RGB numbers into sRGB ones first, the wrong one does not.
    rgb = device_numbers()
    right = np.clip(xyz_d50_to_rgb(rgb_to_xyz_d50(rgb, ADOBE_RGB), SRGB), 0, 1)
    wide = trial(space="adobe-rgb")

    def printed(numbers: Floats) -> Reading:
        return showing(print_lab(numbers))

    beside = judge(
        KnownPrint(
            printed(rgb),
            trial=wide,
            reference=KnownPrint(printed(right), trial(space="adobe-rgb", name="GOOD")),
        )
    )
    assert beside.cause == "wide-read-as-narrow"
    assert beside.causes["wide-read-as-narrow"] > 0.7
    sound = judge(
        KnownPrint(
            printed(right),
            trial=wide,
            reference=KnownPrint(printed(right), trial(space="adobe-rgb", name="GOOD")),
        )
    )
    assert sound.cause == "none"


@pytest.mark.parametrize("hold", [0.7, 0.8, 0.9])
def test_dull_colour_alone_is_no_misread_space(hold: float) -> None:
    # A sheet of Adobe RGB numbers whose colours came out dull all alike: by the right path it is the card that is dull,
    # and only numbers that were never converted tell of the space.
    dull = replace(semi_gloss(), **{f"hold_{ink}": hold for ink in "cmyrgb"})
    wide = trial(space="adobe-rgb")

    def misread(reads_as: Space) -> float:
        there = printed(wide, dull, PrinterModel(reads_as=reads_as))
        return judge(KnownPrint(there, trial=wide)).causes["wide-read-as-narrow"]

    assert misread("adobe-rgb") < 0.1
    assert misread("srgb") > 0.5
    narrow = judge(KnownPrint(printed(trial(), dull), trial=trial()))
    assert narrow.causes["wide-read-as-narrow"] < 0.1


@pytest.mark.parametrize(
    ("across", "along"), [(1.024, 1.024), (0.97, 0.97), (1.0, 0.985), (1.012, 1.001), (1.006, 1.006)]
)
def test_a_wrong_size_points_at_scaling(across: float, along: float) -> None:
    scale = max(across, along, key=lambda one: abs(one - 1))
    place = Placement(scale_x=across, scale_y=along, residual_um=40, marks_found=8)
    verdict = judge(KnownPrint(reading(more={"placement": place}), trial=trial()))
    assert verdict.cause == "scaling"
    assert verdict.grade == "sell"
    said = "met" if abs(scale - 1) < 0.005 else "too-large" if scale > 1 else "too-small"
    assert f"rule.true-size.{said}" in {reason.code for reason in verdict.reasons}


@pytest.mark.parametrize(("across", "along"), [(1.0, 1.0), (1.001, 0.998), (0.9995, 1.003)])
def test_a_feed_as_it_is_points_at_no_scaling(across: float, along: float) -> None:
    place = Placement(scale_x=across, scale_y=along, residual_um=40, marks_found=8)
    assert judge(KnownPrint(reading(more={"placement": place}), trial=trial())).causes["scaling"] < 0.05


def test_doubled_lines_and_a_wrong_size_together_are_no_fault_that_nobody_knows() -> None:
    place = Placement(scale_x=0.97, scale_y=0.97, residual_um=40, marks_found=8)
    doubled = {"doubling_vertical": Attribute(value=180.0, unit="µm", sd=10.0)}
    verdict = judge(KnownPrint(reading(more={"placement": place, "attributes": doubled}), trial=trial()))
    assert verdict.cause == "alignment"
    assert [one.causes for one in verdict.combined][:1] == [("alignment", "scaling")]


def test_sharp_lines_speak_for_too_little_ink_and_grown_ones_for_the_card() -> None:
    # docs/sources.md, S50: low Dmax with sharp lines, low Dmax with feathered lines.
    def causes(gain: float) -> dict[Cause, float]:
        lines = {"line_gain_vertical": Attribute(value=gain, unit="µm", sd=8.0)}
        return judge(KnownPrint(reading(**WEAK, more={"attributes": lines}), trial=trial())).causes

    sharp, grown = causes(15.0), causes(85.0)
    assert sharp["too-little-ink"] > sharp["stock"]
    assert grown["stock"] + grown["side"] > 0.8
    assert grown["too-little-ink"] < 0.1


@pytest.mark.parametrize("ink", ["c", "m", "y"])
def test_a_missing_ink_of_the_virtual_press_is_named(ink: Literal["c", "m", "y"], tmp_path: Path) -> None:
    # The press knows the truth: which ink did not print.
    printed = print_sheet(
        np.full((100, 100, 3), 255, np.uint8), 600, matt_coated(), PrinterModel(missing=(ink,))
    )
    path = tmp_path / "chart.txt"
    path.write_bytes(measure(printed, [patch.rgb for patch in trial().sheet.patches]))
    verdict = judge(KnownPrint(read_instrument_file(path, trial().sheet), trial=trial()))
    assert verdict.cause == "missing-ink"
    assert verdict.grade in ("draft", "reject")


@pytest.mark.parametrize(
    "stock_model", [semi_gloss(), cotton_etching(), matt_coated()], ids=lambda model: model.name
)
def test_a_good_card_of_the_virtual_press_has_no_fault(stock_model: StockModel, tmp_path: Path) -> None:
    printed = print_sheet(np.full((100, 100, 3), 255, np.uint8), 600, stock_model, PrinterModel())
    path = tmp_path / "chart.txt"
    path.write_bytes(measure(printed, [patch.rgb for patch in trial().sheet.patches]))
    verdict = judge(KnownPrint(read_instrument_file(path, trial().sheet), trial=trial()))
    assert (verdict.grade, verdict.cause) == ("sell", "none")
