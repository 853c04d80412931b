"""The evidence that is told in figures."""

from __future__ import annotations

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import matt_coated, semi_gloss
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.verdict.printed import printed
from tests.verdict.readings import trial
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines

SHEET = trial()
GOOD = SHEET.model_copy(update={"id": "GOOD"})


def test_evidence_speaks_in_figures_for_and_against() -> None:
    verdict = judge(
        KnownPrint(
            with_lines(printed(SHEET, matt_coated(), PrinterModel(ink=0.6))),
            trial=SHEET,
            reference=KnownPrint(with_lines(printed(SHEET, matt_coated(), seed=2)), GOOD),
        )
    )
    assert verdict.evidence
    weights = [abs(one.weight) for one in verdict.evidence]
    assert weights == sorted(weights, reverse=True)
    for one in verdict.evidence:
        assert one.sentence.code.endswith(".for" if one.weight > 0 else ".against")
        assert {"value", "expected", "sd", "cause"} == set(one.sentence.values)
    assert any(one.cause == "too-little-ink" and one.weight > 0 for one in verdict.evidence)


def test_the_growth_of_lines_speaks_for_bare_card_and_a_true_size_is_not_spoken_of() -> None:
    verdict = judge(KnownPrint(with_lines(printed(SHEET, semi_gloss()), gain=FEATHERED), trial=SHEET))
    grown = [one for one in verdict.evidence if one.figure.code == "evidence.figure.line-growth"]
    assert all((one.weight > 0) == (one.cause in ("stock", "side", "too-much-ink")) for one in grown)
    assert grown
    assert not any(one.figure.code == "evidence.figure.size-error" for one in verdict.evidence)
