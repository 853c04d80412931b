"""A good print whose sheet holds the other space's numbers, or bare device numbers: same numbers, other colours."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.colour.spaces import RGB_SPACES, rgb_to_lab
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, craft_card
from tackside.records import Cause, Trial, Verdict
from tackside.verdict.classifier.features import SAMPLED_AT, numbers_in
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.printed import printed
from tests.verdict.readings import stock, trial
from tests.verdict.test_symptom_to_cause import (
    CARDS,
    GOOD,
    GOOD_WIDE,
    SRGB,
    TRUE,
    TRUE_WIDE,
    WIDE,
    with_lines,
)


def judged(
    model: StockModel, printer: PrinterModel, sheet: Trial, good: PrinterModel, good_sheet: Trial
) -> Verdict:
    beside = KnownPrint(with_lines(printed(good_sheet, model, good, seed=2)), good_sheet)
    return judge(KnownPrint(with_lines(printed(sheet, model, printer)), trial=sheet, reference=beside))


@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
@pytest.mark.parametrize(
    ("sheet", "good", "good_sheet", "cause"),
    [
        (WIDE, TRUE, GOOD, "wide-read-as-narrow"),
        (SRGB, TRUE_WIDE, GOOD_WIDE, "narrow-read-as-wide"),
    ],
    ids=["adobe-rgb", "srgb"],
)
def test_a_space_misread_is_told_beside_a_good_print_that_shows_the_very_same_colours(
    model: StockModel, sheet: Trial, good: PrinterModel, good_sheet: Trial, cause: Cause
) -> None:
    # Numbers read as the good print's space are printed as the good print's are: nothing differs but what is meant.
    verdict = judged(model, good, sheet, good, good_sheet)
    assert verdict.cause == cause
    assert verdict.causes["none"] < 0.2


@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
@pytest.mark.parametrize(
    ("sheet", "right", "good", "good_sheet"),
    [(WIDE, TRUE_WIDE, TRUE, GOOD), (SRGB, TRUE, TRUE_WIDE, GOOD_WIDE)],
    ids=["adobe-rgb", "srgb"],
)
def test_a_sound_print_is_sound_beside_a_good_one_in_the_other_space(
    model: StockModel, sheet: Trial, right: PrinterModel, good: PrinterModel, good_sheet: Trial
) -> None:
    verdict = judged(model, right, sheet, good, good_sheet)
    assert verdict.cause == "none"
    assert verdict.causes["none"] > 0.7


@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
def test_bare_numbers_say_nothing_of_what_a_colour_managed_sheet_should_show(model: StockModel) -> None:
    device = trial(purpose="device", name="DEVICE")
    bare = PrinterModel(managed="nobody")
    # A print by nobody's management shows what bare numbers show: held against them, nothing would be wrong with it.
    verdict = judged(model, bare, SRGB, bare, device)
    assert verdict.cause != "none"
    alone = judge(KnownPrint(with_lines(printed(SRGB, model, bare)), trial=SRGB))
    assert verdict.cause == alone.cause
    assert "verdict.other-numbers-beside" in {notice.code for notice in verdict.notices}


def test_numbers_of_one_space_ask_for_the_colours_that_the_other_asks_for() -> None:
    wide = rgb_to_lab(numbers_in("adobe-rgb", of="srgb"), RGB_SPACES["adobe-rgb"])
    np.testing.assert_allclose(wide, rgb_to_lab(SAMPLED_AT, RGB_SPACES["srgb"]), atol=1e-6)
    # sRGB lacks some of what Adobe RGB asks for: there it stays at its own edge.
    narrow = numbers_in("srgb", of="adobe-rgb")
    assert narrow.min() == 0.0
    assert narrow.max() == 1.0
    held = (narrow > 0.0).all(axis=1) & (narrow < 1.0).all(axis=1)
    assert held.sum() > 10
    np.testing.assert_allclose(
        rgb_to_lab(narrow[held], RGB_SPACES["srgb"]),
        rgb_to_lab(SAMPLED_AT[held], RGB_SPACES["adobe-rgb"]),
        atol=1e-6,
    )


@pytest.mark.parametrize("found_by", ["damp-fingertip", "two-sided-trial"])
def test_a_face_that_a_test_found_coated_and_prints_as_bare_is_the_other_face(found_by: str) -> None:
    bare = with_lines(printed(SRGB, craft_card()), gain=78.0, mottle=1.1)
    told = stock(coated="front", coated_found_by=found_by)
    assert judge(KnownPrint(bare, trial=SRGB, stock=told)).cause == "side"
    # What a packet says of the card's faces shows no more than what it was sold as.
    said = stock(coated="front", coated_found_by="maker")
    assert judge(KnownPrint(bare, trial=SRGB, stock=said)).cause == "stock"
