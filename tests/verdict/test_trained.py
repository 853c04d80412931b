"""The trained weights: their features, for which prints they speak, and what they say."""

from __future__ import annotations

import numpy as np
import pytest
from training.prints import plan_of
from training.teacher.prints import SHARES, feature_rows

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import RGB_SPACES, rgb_to_lab, xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, semi_gloss
from tackside.records.sheet_plan import Space
from tackside.verdict.classifier.features import (
    BLACK_ROW,
    PAPER_ROW,
    SAMPLED_AT,
    Circumstances,
    Known,
    aimed_at,
    beside_paper,
    deviations,
    features,
    sampled_lab,
)
from tackside.verdict.classifier.likelihoods import (
    ALIKE,
    STATES,
    UNLIKE,
    apart,
    likelihoods_of_colours,
    packed,
    trained_weights,
    unpacked,
)
from tackside.verdict.measures.patch_table import patch_table
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
    noise = np.random.default_rng(2).permutation(shown[0][0][:216])
    assert weights.likeness(np.concatenate([noise, shown[0][0][216:]])) < 0.25


def known_as(known: Known, space: Space | None = "srgb", de00: float = 0.5) -> Circumstances:
    return Circumstances(known, space, "photo", None, None, colorimetric=True, de00=de00)


def seen(stock: StockModel, printer: PrinterModel, seed: int = 1) -> np.ndarray:
    lab = xyz_to_lab(rgb_to_xyz(SAMPLED_AT, stock, printer))
    return lab + 0.15 * np.random.default_rng(seed).standard_normal(lab.shape)


@pytest.mark.parametrize("printer", [PrinterModel(), PrinterModel(managed="twice"), PrinterModel(ink=0.6)])
def test_a_print_like_its_good_reference_is_sound_whatever_the_weights_say(printer: PrinterModel) -> None:
    # Even where both look like nothing that ought to be good: the reference is what is called good.
    one, twin = seen(semi_gloss(), printer, 1), seen(semi_gloss(), printer, 2)
    said = likelihoods_of_colours(one, twin, known_as("same-card"))
    assert apart(one, twin) < ALIKE
    rest = [value for cause, value in said.coated.items() if cause != "none"]
    assert said.coated["none"] - max(*rest, *said.bare.values(), said.unknown) == pytest.approx(6.0)


def test_a_print_that_looks_as_a_profile_foretells_of_a_fault_has_it() -> None:
    sound = seen(semi_gloss(), PrinterModel())
    wrong = {"managed-twice": seen(semi_gloss(), PrinterModel(managed="twice"), 3)}
    once = likelihoods_of_colours(
        seen(semi_gloss(), PrinterModel(managed="twice"), 4), sound, known_as("predicted"),
        {"managed-twice": [wrong["managed-twice"]]},
    )  # fmt: skip
    assert max(once.coated, key=lambda cause: once.coated[cause]) == "managed-twice"
    assert apart(sound, wrong["managed-twice"]) > UNLIKE


def test_a_sheet_of_device_numbers_has_no_faults_of_a_path() -> None:
    said = likelihoods_of_colours(seen(semi_gloss(), PrinterModel()), None, known_as("typical", None))
    for cause in ("managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide"):
        assert said.coated[cause] == said.bare[cause] == -30.0
    assert min(said.coated["none"], said.coated["missing-ink"]) > -20.0


def test_the_aim_is_what_the_file_asks_for_between_paper_and_black() -> None:
    # A print of the very colours asked for, on white paper with no light in its black, misses nothing.
    asked = rgb_to_lab(SAMPLED_AT, RGB_SPACES["srgb"])
    assert beside_paper(asked) == pytest.approx(asked, abs=1e-6)
    assert aimed_at(asked, "srgb") == pytest.approx(asked, abs=0.02)
    # ISO 18619: paper stays, black goes to the print's own, greys stay grey and keep their order.
    grey = asked.copy()
    grey[BLACK_ROW] = 18.0, 0.0, 0.0
    aim = aimed_at(grey, "srgb")
    assert aim[PAPER_ROW] == pytest.approx((100.0, 0.0, 0.0), abs=0.02)
    assert aim[BLACK_ROW] == pytest.approx((18.0, 0.0, 0.0), abs=0.02)
    assert np.all(np.diff(aim[: PAPER_ROW + 1, 0]) > 0)
    assert np.abs(aim[: PAPER_ROW + 1, 1:]).max() < 0.02


def test_deviations_are_from_the_good_print_else_from_the_aim() -> None:
    lab, good = seen(semi_gloss(), PrinterModel()), seen(semi_gloss(), PrinterModel(), 2)
    good[BLACK_ROW, 0] -= 3.0
    rows = np.array(
        [
            features(lab, good, known_as("same-card")),
            features(lab, None, known_as("typical")),
            features(lab, None, known_as("typical", None)),
        ]
    )
    off, against = deviations(rows)
    assert against.tolist() == [0, 1, 2]
    assert off[0, 0] == pytest.approx(lab[BLACK_ROW, 0] - good[BLACK_ROW, 0])
    assert off[1:, 0] == pytest.approx(lab[BLACK_ROW, 0])
    middle = beside_paper(lab)[6]
    assert off[1, 1:4] == pytest.approx(middle - aimed_at(beside_paper(lab), "srgb")[6])
    assert off[2, 1:4] == pytest.approx(middle)


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
    paler = sampled + np.array([2.0, 0.0, 0.0])
    row, size = features(sampled, paler, known_as("other-card")), sampled.size
    np.testing.assert_allclose(row[:size].reshape(36, 3), beside_paper(sampled))
    np.testing.assert_allclose(
        row[2 * size : 3 * size].reshape(36, 3), beside_paper(sampled) - beside_paper(paler)
    )
    np.testing.assert_allclose(row[3 * size + 6 : 3 * size + 12], [-2.0, 0.0, 0.0] * 2)
    assert np.all(features(sampled, None, known_as("typical"))[2 * size : 3 * size] == 0.0)
