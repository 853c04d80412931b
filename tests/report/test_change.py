"""A card tried again: drift is told from noise."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from tackside.records import Measure
from tackside.report.change import changes, expected_median
from tackside.report.entry import Entry
from tackside.report.pages.page import render_report
from tests.report.invented import NOON, entry


def again(
    one: Entry, days: int, *, shift: tuple[float, float, float] = (0, 0, 0), noise: float = 0.0, seed: int = 0
) -> Entry:
    """The same card read later, all its colours shifted, and each off by a little of its own."""
    chance = np.random.default_rng(seed)
    patches = tuple(
        patch.model_copy(
            update={"lab": tuple(float(v) for v in np.add(patch.lab, shift) + chance.normal(0, noise, 3))}
        )
        for patch in one.reading.patches
    )
    when = NOON + timedelta(days=days)
    return replace(
        one,
        trial=one.trial.model_copy(update={"id": f"LATER{days}"}),
        reading=one.reading.model_copy(update={"patches": patches, "made_at": when}),
    )


def test_the_same_print_read_again_shows_no_change() -> None:
    one = entry()
    (found,) = changes([again(one, 30, noise=0.5), one])  # given in any order
    assert found.finding == "noise"
    assert found.period == "14 May 2026 to 13 June 2026"
    assert "no sign of a change" in found.sentence
    assert all(each.finding == "noise" for each in found.figures)


def test_a_fading_card_is_told_so() -> None:
    one = entry()
    (found,) = changes([one, again(one, 200, shift=(9, 0, 0))])
    assert found.finding == "drift"
    assert "The print has changed. The print is lighter than before" in found.sentence


def test_a_figure_that_moved_by_more_than_its_uncertainty_is_named() -> None:
    one = entry()
    later = again(one, 90)
    measures = {**one.verdict.measures, "black_l": Measure(value=9.5, unit="L*", sd=0.7)}
    later = replace(later, verdict=later.verdict.model_copy(update={"measures": measures}))
    (found,) = changes([one, later])
    by_label = {each.label: each.finding for each in found.figures}
    assert by_label["Black, L*"] == "drift"
    assert by_label["Deepest black, density"] == "noise"
    assert "Moved for certain: black." in found.sentence
    page = render_report([one, later])
    assert "Change over time" in page
    assert "Change over time" not in render_report([one])


def test_what_is_not_alike_is_not_compared() -> None:
    one = entry()
    other_setting = again(entry(media="Plain"), 30)
    other_device = again(entry(comparable_with="another"), 60)
    assert changes([one, other_setting, other_device]) == ()


def test_three_trials_make_two_steps_in_time() -> None:
    one = entry()
    found = changes([again(one, 60), one, again(one, 30)])
    assert [each.period for each in found] == ["14 May 2026 to 13 June 2026", "13 June 2026 to 13 July 2026"]


def test_noise_alone_seldom_looks_like_drift() -> None:
    """A thousand pairs of readings of one print, each off by a common error of its own of the stated size."""
    chance = np.random.default_rng(11)
    per_axis = 1.4 / np.sqrt(3)
    differences = chance.normal(0, per_axis, (1000, 3)) - chance.normal(0, per_axis, (1000, 3))
    sizes = np.linalg.norm(differences, axis=1)
    # The median of Maxwell's distribution is 1.5382 of its scale (docs/sources.md, S97); three times that is seldom
    # passed.
    assert np.median(sizes) == pytest.approx(expected_median(1.4, 1.4), rel=0.05)
    assert np.mean(sizes > 3 * expected_median(1.4, 1.4)) < 0.001
    assert np.mean(sizes > 2 * expected_median(1.4, 1.4)) < 0.03
