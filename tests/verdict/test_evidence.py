"""The likelihood of patches, against scipy's distributions, and the evidence that is told in figures."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_t

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import matt_coated, semi_gloss
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.model.patch_likelihoods import (
    FREEDOM,
    PatchesRead,
    groups_alike,
    log_t,
    loose_modes,
    scanner_modes,
)
from tackside.verdict.model.path_faults import draw
from tackside.verdict.model.tone_response import typical
from tests.verdict.printed import printed
from tests.verdict.readings import device_numbers, trial
from tests.verdict.test_symptom_to_cause import FEATHERED, with_lines

SHEET = trial()
GOOD = SHEET.model_copy(update={"id": "GOOD"})


@pytest.mark.parametrize("freedom", [FREEDOM, 30.0])
@pytest.mark.parametrize("size", [3, 24])
def test_log_t_is_the_multivariate_t_of_scipy(freedom: float, size: int) -> None:
    rng = np.random.default_rng(size)
    root = rng.standard_normal((size, size + 4))
    covariance = root @ root.T / size
    miss = 2.0 * rng.standard_normal((5, size))
    theirs = multivariate_t(np.zeros(size), covariance, df=freedom).logpdf(miss)
    assert log_t(miss, covariance.copy(), freedom) == pytest.approx(theirs, rel=1e-9)


def test_a_stray_patch_costs_less_than_it_would_under_a_normal() -> None:
    # Why a t and not a normal: the price of a far point grows with its logarithm, not its square.
    near, far, farther = (np.array([[value, 0.0, 0.0]]) for value in (1.0, 20.0, 40.0))
    price = [float(log_t(each, np.eye(3))[0]) for each in (near, far, farther)]
    assert price[1] - price[2] < (FREEDOM + 3) * np.log(2) + 0.1
    assert price[0] - price[1] > 5


def test_a_scanners_error_grows_with_its_uncertainty_but_its_stray_light_does_not() -> None:
    lab = typical().lab(device_numbers())
    asked = device_numbers()
    noise = np.zeros(len(lab))
    one, two = (scanner_modes(PatchesRead(asked, lab, noise, shared), lab) for shared in (1.0, 2.0))
    assert two[:-1] == pytest.approx(2 * one[:-1])
    assert two[-1] == pytest.approx(one[-1])
    # Stray light lifts the darks and leaves the lights.
    darkest, lightest = int(np.argmin(lab[:, 0])), int(np.argmax(lab[:, 0]))
    assert one[-1][darkest, 0] > 3 * one[-1][lightest, 0] > 0


def test_a_loose_cast_has_no_share_in_paper_and_black() -> None:
    numbers = np.array([[0.0] * 3, [0.5] * 3, [1.0] * 3])
    modes = loose_modes(numbers).reshape(3, 3, 3)
    assert modes[:, 0] == pytest.approx(0.0)
    assert modes[:, 2] == pytest.approx(0.0)
    assert np.diagonal(modes[:, 1]) == pytest.approx([4.0] * 3)


def test_variants_that_share_a_spread_are_of_one_cause_and_move_about_as_far() -> None:
    drawn = draw(typical(), device_numbers(), "srgb", path=True)
    groups = groups_alike(drawn)
    assert sorted(np.concatenate(groups).tolist()) == list(range(len(drawn.causes)))
    far = np.sqrt(((drawn.lab - drawn.lab[0]) ** 2).sum(axis=-1).mean(axis=-1))
    for group in groups:
        assert len({drawn.causes[row] for row in group}) == 1
        if far[group].min() >= 2.0 and far[group].max() < 20.0:
            assert far[group].max() <= 2.5 * far[group].min()


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
