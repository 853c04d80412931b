"""Two faults at once are told as two: bare card and a space misread, a missing ink and a wrong size.

How sure it is to be, and the figures of each invented print, are this project's own choice: docs/sources.md, S54.
"""

from __future__ import annotations

import pytest

from tackside.messages.message import Message
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import (
    StockModel,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.records import Cause, Placement
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.printed import printed
from tests.verdict.readings import trial
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines

SHEET, WIDE = trial(), trial(space="adobe-rgb")
OTHER_CARD, OTHER_WIDE = (
    one.model_copy(update={"id": "GOOD", "stock": "Fulmar Etching 310"}) for one in (SHEET, WIDE)
)
CARD: tuple[Cause, ...] = ("stock", "side")


@pytest.mark.parametrize("model", [craft_card(), matt_uncoated_back()], ids=lambda model: model.name)
def test_an_uncoated_card_and_a_wide_space_read_as_narrow_are_both_told(model: StockModel) -> None:
    right = PrinterModel(reads_as="adobe-rgb")
    verdict = judge(
        KnownPrint(
            with_lines(printed(WIDE, model, PrinterModel(reads_as="srgb")), gain=FEATHERED, mottle=1.1),
            trial=WIDE,
            reference=KnownPrint(with_lines(printed(WIDE, matt_coated(), right, seed=2)), OTHER_WIDE),
        )
    )
    pairs = {frozenset(one.causes): one.probability for one in verdict.combined}
    both = sum(pairs.get(frozenset((card, "wide-read-as-narrow")), 0.0) for card in CARD)
    assert both > 0.5
    alone = judge(
        KnownPrint(
            with_lines(printed(WIDE, model, right), gain=FEATHERED, mottle=1.1),
            trial=WIDE,
            reference=KnownPrint(with_lines(printed(WIDE, matt_coated(), right, seed=2)), OTHER_WIDE),
        )
    )
    assert sum(one.probability for one in alone.combined if "wide-read-as-narrow" in one.causes) < 0.2


@pytest.mark.parametrize("scale", [0.96, 1.03])
def test_a_missing_ink_and_a_wrong_size_are_both_told(scale: float) -> None:
    place = Placement(scale_x=scale, scale_y=scale, residual_um=30.0, marks_found=8)
    there = with_lines(printed(SHEET, semi_gloss(), PrinterModel(missing=("m",))))
    verdict = judge(
        KnownPrint(
            there.model_copy(update={"placement": place}),
            trial=SHEET,
            reference=KnownPrint(
                with_lines(printed(SHEET, semi_gloss(), seed=2)), SHEET.model_copy(update={"id": "GOOD"})
            ),
        )
    )
    pairs = {frozenset(one.causes): one.probability for one in verdict.combined}
    assert pairs[frozenset(("missing-ink", "scaling"))] > 0.7
    assert verdict.cause == "missing-ink", "the fault of colours leads"
    assert verdict.causes["missing-ink"] > 0.7
    (together, *_) = (reason for reason in verdict.reasons if reason.code == "cause.together")
    assert {together.value("first"), together.value("second")} == {
        Message("cause.missing-ink"),
        Message("cause.scaling"),
    }


def test_a_sound_print_has_no_pair() -> None:
    verdict = judge(
        KnownPrint(
            with_lines(printed(SHEET, semi_gloss())),
            trial=SHEET,
            reference=KnownPrint(
                with_lines(printed(SHEET, semi_gloss(), seed=2)), SHEET.model_copy(update={"id": "GOOD"})
            ),
        )
    )
    assert verdict.combined == ()
