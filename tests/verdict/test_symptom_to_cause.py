"""The table from symptom to cause (docs/sources.md, S50), row by row, on the virtual press's own faults.

The press's fault is the truth. Each print lies beside a good one of the same card, as a tester in the trade has it, and
beside nothing, where no more is claimed than that no other cause is taken for sure.
"""

from __future__ import annotations

import pytest

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.records import Attribute, Cause, Placement, Reading, Trial, Verdict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.printed import printed
from tests.verdict.readings import stock, trial

SRGB, WIDE, BACK = trial(), trial(space="adobe-rgb"), trial(side="back", name="BACK")
GOOD, GOOD_WIDE = trial(name="GOOD"), trial(space="adobe-rgb", name="GOODWIDE")
TRUE, TRUE_WIDE = PrinterModel(), PrinterModel(reads_as="adobe-rgb")
CARDS = [semi_gloss(), matt_coated(), cotton_etching()]
SURE = 0.8
FEATHERED, SHARP = 78.0, 22.0  # µm that a black line grows: bare card, coated card (traits.GAIN)


def with_lines(one: Reading, gain: float = SHARP, mottle: float = 0.35, doubling: float = 2.0) -> Reading:
    """The attributes that a scan of such a print has."""
    found = {
        "line_gain_horizontal": Attribute(value=gain, unit="µm", sd=6.0),
        "line_gain_vertical": Attribute(value=gain, unit="µm", sd=6.0),
        "doubling_vertical": Attribute(value=doubling, unit="µm", sd=6.0),
        "mottle_mid": Attribute(value=mottle, unit="L*", sd=0.05),
    }
    return one.model_copy(update={"attributes": found})


def beside_good(
    model: StockModel, printer: PrinterModel, sheet: Trial = SRGB, good: PrinterModel = TRUE, **lines: float
) -> Verdict:
    """The verdict beside a good print of the same card, of which nothing but that is known."""
    return judge(
        KnownPrint(
            with_lines(printed(sheet, model, printer), **lines),
            trial=sheet,
            reference=KnownPrint(
                with_lines(printed(sheet, model, good, seed=2)), GOOD_WIDE if sheet is WIDE else GOOD
            ),
        )
    )


ROWS: list[tuple[str, PrinterModel, Trial, PrinterModel, Cause]] = [
    ("low Dmax, sharp lines", PrinterModel(ink=0.65), SRGB, TRUE, "too-little-ink"),
    ("closed shadows", PrinterModel(ink=1.35), SRGB, TRUE, "too-much-ink"),
    ("cast throughout, solids unchanged", PrinterModel(managed="twice"), SRGB, TRUE, "managed-twice"),
    ("evenly dull, greys right", PrinterModel(reads_as="srgb"), WIDE, TRUE_WIDE, "wide-read-as-narrow"),
    ("too vivid, greys right", PrinterModel(reads_as="adobe-rgb"), SRGB, TRUE, "narrow-read-as-wide"),
    ("one hue missing: cyan", PrinterModel(missing=("c",)), SRGB, TRUE, "missing-ink"),
    ("one hue missing: magenta", PrinterModel(missing=("m",)), SRGB, TRUE, "missing-ink"),
    ("one hue missing: yellow", PrinterModel(missing=("y",)), SRGB, TRUE, "missing-ink"),
]


@pytest.mark.parametrize(
    ("printer", "sheet", "good", "cause"), [row[1:] for row in ROWS], ids=[r[0] for r in ROWS]
)
@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
def test_each_row_names_its_cause_beside_a_good_print(
    model: StockModel, printer: PrinterModel, sheet: Trial, good: PrinterModel, cause: Cause
) -> None:
    verdict = beside_good(model, printer, sheet, good)
    assert verdict.cause == cause
    assert verdict.causes[cause] > 0.6


@pytest.mark.parametrize(
    ("printer", "sheet", "good", "cause"), [row[1:] for row in ROWS], ids=[r[0] for r in ROWS]
)
@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
def test_with_nothing_beside_it_no_wrong_cause_is_taken_for_sure(
    model: StockModel, printer: PrinterModel, sheet: Trial, good: PrinterModel, cause: Cause
) -> None:
    verdict = judge(KnownPrint(with_lines(printed(sheet, model, printer)), trial=sheet))
    assert verdict.cause == cause or verdict.causes[verdict.cause] < SURE


@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
@pytest.mark.parametrize(("sheet", "good"), [(SRGB, TRUE), (WIDE, TRUE_WIDE)], ids=["srgb", "adobe-rgb"])
def test_a_sound_print_has_no_fault(model: StockModel, sheet: Trial, good: PrinterModel) -> None:
    verdict = beside_good(model, good, sheet, good)
    assert verdict.cause == "none"
    assert verdict.causes["none"] > SURE


@pytest.mark.parametrize("model", [craft_card(), matt_uncoated_back()], ids=lambda model: model.name)
def test_low_dmax_narrow_gamut_and_feathered_lines_are_the_cards(model: StockModel) -> None:
    good = with_lines(printed(GOOD, matt_coated(), seed=2))
    other_card = GOOD.model_copy(update={"stock": "Fulmar Etching 310"})
    bad = with_lines(printed(SRGB, model), gain=FEATHERED, mottle=1.1)
    verdict = judge(
        KnownPrint(bad, trial=SRGB, stock=stock(coated="unknown"), reference=KnownPrint(good, other_card))
    )
    assert verdict.causes["stock"] + verdict.causes["side"] > 0.9
    # No setting gives depth that the card can't hold (docs/sources.md, S52).
    assert "cause.take-another-card" in {reason.code for reason in verdict.reasons}
    alone = judge(KnownPrint(bad, trial=SRGB))
    assert alone.causes["stock"] + alone.causes["side"] > SURE


def test_the_other_side_raises_dmax_sharply_where_the_side_was_wrong() -> None:
    bad = with_lines(printed(BACK, matt_uncoated_back()), gain=FEATHERED, mottle=1.1)
    wrong_side = judge(
        KnownPrint(
            bad, trial=BACK, other_side=KnownPrint(with_lines(printed(SRGB, matt_coated(), seed=2)), SRGB)
        )
    )
    assert wrong_side.cause == "side"
    assert wrong_side.causes["side"] > SURE
    pale = with_lines(printed(SRGB, craft_card(), seed=2), gain=FEATHERED, mottle=1.1)
    neither = judge(KnownPrint(bad, trial=BACK, other_side=KnownPrint(pale, SRGB)))
    assert neither.cause == "stock"
    assert neither.causes["side"] < 0.1


@pytest.mark.parametrize("model", CARDS, ids=lambda model: model.name)
def test_doubled_verticals_are_the_heads_alignment(model: StockModel) -> None:
    verdict = beside_good(model, TRUE, doubling=120.0)
    assert verdict.cause == "alignment"
    assert verdict.causes["alignment"] > SURE


@pytest.mark.parametrize("scale", [0.97, 1.024])
def test_rulers_wrong_in_both_axes_alike_mean_that_the_path_scales(scale: float) -> None:
    place = Placement(scale_x=scale, scale_y=scale, residual_um=30.0, marks_found=8)
    there = with_lines(printed(SRGB, matt_coated())).model_copy(update={"placement": place})
    verdict = judge(
        KnownPrint(
            there, trial=SRGB, reference=KnownPrint(with_lines(printed(GOOD, matt_coated(), seed=2)), GOOD)
        )
    )
    assert verdict.cause == "scaling"
    assert verdict.causes["scaling"] > SURE


def test_sharp_lines_tell_too_little_ink_from_bare_card_and_feathered_ones_the_card() -> None:
    # The two rows of low Dmax differ in their lines alone.
    pale = printed(SRGB, matt_coated(), PrinterModel(ink=0.6))
    sharp = judge(KnownPrint(with_lines(pale), trial=SRGB)).causes
    feathered = judge(KnownPrint(with_lines(pale, gain=FEATHERED, mottle=1.1), trial=SRGB)).causes
    card = ("stock", "side")
    assert sharp["too-little-ink"] > feathered["too-little-ink"]
    assert sum(feathered[one] for one in card) > sum(sharp[one] for one in card)
