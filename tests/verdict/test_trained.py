"""The trained weights: their features, for which prints they speak, and what they say."""

from __future__ import annotations

import numpy as np
import pytest
from training.prints import plan_of
from training.simulated import SHARES, feature_rows

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import semi_gloss
from tackside.verdict.classifier.features import SAMPLED_AT, features, sampled_lab
from tackside.verdict.classifier.likelihoods import Likelihoods
from tackside.verdict.classifier.trained import STATES, packed, trained_weights, unpacked
from tackside.verdict.measures.patch_table import patch_table
from tackside.verdict.model.cards import Known
from tests.verdict.readings import reading


@pytest.fixture(scope="module")
def shown() -> tuple[np.ndarray, np.ndarray]:
    # A seed that the training does not use (its blocks begin at 1000).
    return feature_rows(240, seed=3)


def test_a_file_of_weights_says_the_same_again(shown: tuple[np.ndarray, np.ndarray]) -> None:
    once = trained_weights()
    again = unpacked(packed(once))
    np.testing.assert_array_equal(again.log_likelihoods(shown[0]), once.log_likelihoods(shown[0]))


def test_prints_never_shown_are_told_apart(shown: tuple[np.ndarray, np.ndarray]) -> None:
    weights = trained_weights()
    chances = np.exp(weights.log_likelihoods(shown[0])) * weights.shares
    right = chances.argmax(axis=1) == shown[1]
    # At the share measured when they were trained (training/train_causes.py), under this once in a thousand runs.
    assert right.mean() > 0.84
    assert chances.sum(axis=1) == pytest.approx(1.0, abs=1e-3)


def test_likelihood_ratios_leave_the_odds_of_training_out(shown: tuple[np.ndarray, np.ndarray]) -> None:
    assert trained_weights().shares == pytest.approx(SHARES, abs=0.01)
    assert len(SHARES) == len(STATES)


def test_features_like_none_of_the_training_count_for_little(shown: tuple[np.ndarray, np.ndarray]) -> None:
    weights = trained_weights()
    usual = np.array([weights.likeness(row) for row in shown[0]])
    assert np.median(usual) == 1.0
    assert (usual == 1.0).mean() > 0.97
    noise = np.random.default_rng(2).permutation(shown[0][0][:108])
    assert weights.likeness(np.concatenate([noise, shown[0][0][108:]])) < 0.25


def test_what_the_weights_do_not_know_is_left_to_the_forward_models() -> None:
    said = Likelihoods(
        {"none": -9.0, "unmanaged": 0.0}, {"none": -3.0, "unmanaged": -2.0}, -4.0, trained_share=0.25
    )
    drawn = Likelihoods.forward({"none": 0.0}, {"none": -8.0}, -6.0, weight=0.5)
    both = said.over(drawn)
    assert both.coated == {"none": -2.25}, "and causes that the sheet rules out stay out"
    assert both.bare == {"none": 0.25 * -3.0 + 0.75 * -4.0}
    assert both.unknown == 0.25 * -4.0 + 0.75 * -3.0
    assert both.trained_share == 0.25


def test_a_small_sheet_is_sampled_as_a_large_one_is() -> None:
    # Colours between patches are carried; ΔE00 2 is what a usual commercial limit lets pass.
    stock, plan = semi_gloss(), plan_of("srgb", (105, 148))
    numbers = np.array([patch.rgb for patch in plan.patches])
    lab = xyz_to_lab(rgb_to_xyz(numbers, stock, PrinterModel(reads_as="srgb")))
    base = reading()
    patches = tuple(
        base.patches[0].model_copy(update={"name": patch.name, "rgb": patch.rgb, "lab": tuple(row)})
        for patch, row in zip(plan.patches, lab.tolist(), strict=True)
    )
    small = base.model_copy(update={"patches": patches})
    sampled = sampled_lab(patch_table(small))
    assert sampled is not None
    exact = xyz_to_lab(rgb_to_xyz(SAMPLED_AT, stock, PrinterModel(reads_as="srgb")))
    off = delta_e_2000(sampled, exact)
    assert np.median(off) < 0.5
    assert off.max() < 4.0


def test_a_print_without_its_solids_is_not_sampled() -> None:
    whole = reading()
    greys = tuple(patch for patch in whole.patches if patch.rgb is not None and np.ptp(patch.rgb) < 0.01)
    few = whole.model_copy(update={"patches": greys})
    assert sampled_lab(patch_table(few)) is None


def test_a_good_print_beside_is_seen_as_a_distance() -> None:
    sampled = sampled_lab(patch_table(reading()))
    assert sampled is not None

    def row(beside: np.ndarray | None, known: Known) -> np.ndarray:
        return features(sampled, beside, known=known, base="photo", space="srgb", colorimetric=True, de00=0.5)

    paler = sampled + np.array([2.0, 0.0, 0.0])
    np.testing.assert_array_equal(row(paler, "other-card")[:108], sampled.ravel())
    np.testing.assert_allclose(
        row(paler, "other-card")[108:216].reshape(36, 3), np.tile([-2.0, 0.0, 0.0], (36, 1))
    )
    assert np.all(row(None, "typical")[108:216] == 0.0)
