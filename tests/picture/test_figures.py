"""What a card does to a picture in figures, on pictures made for the purpose; and the advice that follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from tackside.colour.difference import picture_delta_e_2000
from tackside.messages.message import Message
from tackside.picture.proof.advice import IntentVariant, advise, cost_of, weigh
from tackside.picture.proof.figures import Figures, compare, local_contrast, out_of_gamut
from tackside.picture.proof.maps import FULL_DE00, HUES, paint

LAB = np.random.default_rng(4).uniform([5, -60, -60], [95, 60, 60], (40, 50, 3))
PLAIN = Figures(3, 2, 8, 0, 0, 1.0, 0.1, 0.1, 1.0, 0.3, 0.3)
PERCEPTUAL, RELATIVE = IntentVariant("perceptual", True), IntentVariant("relative", True)


def flat(lightness: float, a: float = 0, b: float = 0) -> np.ndarray:
    return np.full((20, 20, 3), (lightness, a, b), dtype=float)


def test_a_picture_beside_itself_has_lost_nothing() -> None:
    figures = compare(LAB, LAB)
    assert figures.de00_mean == figures.de00_p95 == figures.hue_shift_deg == 0
    assert figures.lost_shadow == figures.lost_saturated == figures.grey_balance == 0


def test_differences_are_ciede2000() -> None:
    # scikit-image's own CIEDE2000
    other = LAB + np.random.default_rng(5).normal(0, 3, LAB.shape)
    theirs = deltaE_ciede2000(LAB, other)
    ours = compare(LAB, other)
    assert ours.de00_mean == pytest.approx(theirs.mean(), rel=0, abs=1e-5)
    assert ours.de00_p95 == pytest.approx(np.percentile(theirs, 95), rel=0, abs=1e-4)


def test_many_pixels_are_added_up_without_wandering() -> None:
    # Single precision throughout would stop at 2^24 of the smallest step.
    moved = np.full((2100, 2100, 1), 0.1, np.float32)
    light = np.concatenate([np.full_like(moved, 50), moved * 0, moved * 0], axis=2)
    darker = light - np.concatenate([moved, moved * 0, moved * 0], axis=2)
    assert compare(light, darker).lightness == pytest.approx(-0.1, rel=1e-4)


@pytest.mark.parametrize(("first", "second"), [(10, 50), (350, 30), (170, 215), (95, 20)])
def test_a_turn_of_hue_is_the_smaller_angle_whatever_the_chroma(first: float, second: float) -> None:
    one, two = (
        flat(50, c * np.cos(np.radians(h)), c * np.sin(np.radians(h))) for c, h in ((40, first), (25, second))
    )
    wanted = min((first - second) % 360, (second - first) % 360)
    assert compare(one, two).hue_shift_deg == pytest.approx(wanted, rel=1e-5)


def test_crushed_shadows_are_lost_and_flattened_ones_are_not() -> None:
    dark = flat(0)
    dark[..., 0] = np.random.default_rng(6).uniform(2, 22, (20, 20))
    crushed = np.maximum(dark, [15, -99, -99])
    half = compare(dark, crushed).lost_shadow
    assert half is not None
    assert 0.2 < half < 0.8
    assert compare(dark, dark * 0.5).lost_shadow == 0
    assert compare(dark, flat(15)).lost_shadow == 1


def test_a_picture_without_shadows_loses_none() -> None:
    figures = compare(flat(80), flat(70))
    assert figures.lost_shadow is None
    assert figures.lost_saturated is None
    assert figures.hue_shift_deg is None


def test_a_turned_hue_is_told_in_degrees_across_zero() -> None:
    angles = np.radians([355.0, 5.0])
    first, second = (flat(50, 40 * np.cos(angle), 40 * np.sin(angle)) for angle in angles)
    assert compare(first, second).hue_shift_deg == pytest.approx(10)


def test_a_cast_shows_in_the_greys() -> None:
    assert compare(flat(50), flat(50, 3, 4)).grey_balance == pytest.approx(5)
    assert compare(flat(50, 40, 0), flat(50, 43, 4)).grey_balance is None


def test_only_what_lies_far_outside_counts() -> None:
    near, far = flat(50), flat(50)
    far[0, :10] = (58, 0, 0)
    near[1] = (50.5, 0, 0)
    outside = out_of_gamut(near, far)
    assert np.count_nonzero(outside) == 10
    assert outside[0, 0] == pytest.approx(float(deltaE_ciede2000(near[0, 0], far[0, 0])))


def test_local_contrast_is_the_step_to_the_neighbours() -> None:
    steps = flat(50)
    steps[:, 10:, 0] = 60
    contrast = local_contrast(steps)
    assert np.all(contrast[:, 9] == 5)
    assert np.count_nonzero(contrast) == 20


def test_absolute_is_never_advised_and_the_cheapest_is() -> None:
    table = [
        (IntentVariant("absolute", False), replace(PLAIN, de00_mean=0.1, de00_p95=0.2)),
        (PERCEPTUAL, replace(PLAIN, de00_mean=5)),
        (RELATIVE, PLAIN),
    ]
    weighed = weigh(table)
    assert [each.variant.intent for each in weighed] == ["relative", "perceptual", "absolute"]
    advice = advise(weighed)
    assert advice.variant == RELATIVE
    assert not advice.close
    assert advice.why == Message(
        "proof.advice.clear",
        best=Message("proof.intent.relative-bpc"),
        second=Message("proof.intent.perceptual-bpc"),
        why=Message(
            "proof.gain.de00-mean",
            best=Message("proof.figure.de00", value=3.0),
            second=Message("proof.figure.de00", value=5.0),
        ),
    )
    assert str(advice.why) == (
        "Take relative colorimetric with black point compensation rather than perceptual with black point "
        "compensation: colour closer to the picture on the whole (ΔE00 3.0 against ΔE00 5.0)"
    )


@pytest.mark.parametrize(("further", "code"), [(0.001, "proof.advice.alike"), (0.4, "proof.advice.close")])
def test_close_calls_are_called_close(further: float, code: str) -> None:
    table = [(RELATIVE, PLAIN), (PERCEPTUAL, replace(PLAIN, de00_mean=3 + further))]
    advice = advise(weigh(table))
    assert advice.close
    assert advice.why.code == code


def test_what_speaks_against_the_advice_is_said() -> None:
    table = [
        (RELATIVE, replace(PLAIN, de00_mean=2, lost_shadow=0.2)),
        (PERCEPTUAL, replace(PLAIN, de00_mean=7, lost_shadow=0.05)),
    ]
    why = advise(weigh(table)).why.value("why")
    assert isinstance(why, Message)
    assert why.code == "proof.at-the-price"
    assert why.value("loss") == Message(
        "proof.loss.lost-shadow",
        best=Message("proof.figure.lost", value=0.2),
        second=Message("proof.figure.lost", value=0.05),
    )


@pytest.mark.parametrize(
    "worse",
    [
        replace(PLAIN, de00_mean=4),
        replace(PLAIN, de00_p95=9),
        replace(PLAIN, hue_shift_deg=3),
        replace(PLAIN, lost_shadow=0.2),
        replace(PLAIN, lost_saturated=0.2),
        replace(PLAIN, grey_balance=2),
    ],
)
def test_every_figure_weighs(worse: Figures) -> None:
    assert cost_of(worse) > cost_of(PLAIN)


def test_detail_lost_in_a_corner_weighs_less_than_in_half_the_picture() -> None:
    lost = replace(PLAIN, lost_shadow=0.9)
    assert cost_of(replace(lost, shadow=0.01)) < cost_of(lost)


def test_a_map_leaves_what_is_right_grey_and_deepens_with_what_is_wrong() -> None:
    size = np.zeros((20, 20))
    size[0, 0], size[0, 1] = FULL_DE00, FULL_DE00 / 4
    painted = paint(flat(50), size, FULL_DE00, HUES["de00"])
    assert np.ptp(painted[5, 5].astype(int)) <= 1
    assert painted[0, 0].astype(int).sum() < painted[0, 1].astype(int).sum() < painted[5, 5].astype(int).sum()
    assert painted[0, 0, 0] > painted[0, 0, 2] + 60


@pytest.mark.parametrize("shape", [(1, 1), (1, 2), (1, 3), (20, 50), (7, 143)])
def test_median_and_95th_percentile_are_those_of_numpy(shape: tuple[int, int]) -> None:
    picture = np.random.default_rng(shape[1]).uniform([5, -60, -60], [95, 60, 60], (*shape, 3))
    printed = picture + np.random.default_rng(1).normal(0, 3, picture.shape)
    steps = picture_delta_e_2000(picture, printed).astype(np.float64)
    found = compare(picture, printed)
    assert found.de00_median == pytest.approx(np.median(steps), rel=1e-12)
    assert found.de00_p95 == pytest.approx(np.percentile(steps, 95), rel=1e-12)
