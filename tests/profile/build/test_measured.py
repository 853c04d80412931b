"""What was measured: averaged, its noise told, slips named, and thin evidence refused in one line."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.errors import BadRequest
from tackside.profile.build.build import build_profile
from tackside.profile.build.evidence import weigh
from tackside.profile.build.measured import MeasuredPatches, averaged
from tests.profile.build.built import NOISE, measured
from tests.profile.build.presses import PRESSES, chart, halftone_press, read


def test_repeats_are_averaged_and_tell_the_noise() -> None:
    device = chart(200)
    readings = [
        MeasuredPatches.of(device, read("halftone", device, 0.4, seed), names=[f"R{seed}"] * len(device))
        for seed in (1, 2, 3)
    ]
    patches = averaged(MeasuredPatches.joined(readings))
    assert len(patches.device) == len(device)
    assert patches.repeats == 2 * len(device)
    assert patches.lab == pytest.approx(np.mean([each.lab for each in readings], axis=0))
    assert patches.spread == pytest.approx(np.full(len(device), 1 / 3))
    assert patches.noise == pytest.approx(np.full(3, 0.4), rel=0.12)
    assert patches.sure_of_noise == 0.1


def test_a_patch_with_more_noise_counts_for_less() -> None:
    device = np.repeat(chart(200)[:1], 2, axis=0)
    lab, noise = np.array([[50.0, 0, 0], [53.0, 0, 0]]), np.array([0.5, 1.0])
    patches = averaged(MeasuredPatches.of(device, lab, noise))
    shares = 1 / np.array([0.5, 1.0]) ** 2  # inverse variances, as any handbook of least squares has it
    assert patches.lab[0, 0] == pytest.approx(50 + 3 * shares[1] / shares.sum())


def test_noise_that_is_not_known_counts_as_usual() -> None:
    device, lab = sheet()
    some = np.full(len(device), 0.4)
    some[::3] = np.nan
    known = MeasuredPatches.of(device, lab, some).noise
    assert known is not None
    assert known == pytest.approx(np.full(len(device), 0.4))
    assert MeasuredPatches.of(device, lab, np.full(len(device), np.nan)).noise is None


@pytest.mark.parametrize("press", PRESSES)
def test_slips_are_found_and_named_and_nothing_else(press: str) -> None:
    sound = measured(press, 300)
    assert not [each for each in weigh(sound).notices if each.code == "profile-build.outliers"]
    lab = sound.lab.copy()
    slips = [40, 111, 222, 270]
    lab[slips] += [[0, 9, 0], [6, 0, -6], [-7, 3, 3], [0, 0, 12]]
    evidence = weigh(MeasuredPatches.of(sound.device, lab, names=sound.names))
    (notice,) = [each for each in evidence.notices if each.code == "profile-build.outliers"]
    assert set(notice.values["names"]) == {f"P{row}" for row in slips}  # type: ignore[arg-type]
    assert len(evidence.patches.device) == len(sound.device) - 4
    error = delta_e_2000(evidence.surface.at(sound.device[slips]), PRESSES[press](sound.device[slips]))
    assert error.max() < 1


def test_one_bad_reading_of_three_is_left_out_and_its_patch_kept() -> None:
    readings = [measured("halftone", 200, NOISE, seed) for seed in (1, 2, 3)]
    lab = readings[1].lab.copy()
    lab[77] += [0, 10, 0]
    named = [f"B{row}" for row in range(len(lab))]
    readings[1] = MeasuredPatches.of(readings[1].device, lab, names=named)
    evidence = weigh(MeasuredPatches.joined(readings))
    (notice,) = [each for each in evidence.notices if each.code == "profile-build.outliers"]
    assert notice.values["names"] == ("B77",)
    assert len(evidence.patches.device) == len(lab)


def refusal(device: np.ndarray, lab: np.ndarray, reading: np.ndarray | None = None) -> BadRequest:
    with pytest.raises(BadRequest) as refused:
        build_profile(
            MeasuredPatches.of(device, lab, reading=reading),
            description="Refused",
            condition=None,
            made_at=datetime(2026, 1, 1),  # noqa: DTZ001
        )
    assert str(refused.value).count("\n") == 0
    return refused.value


def sheet(count: int = 200) -> tuple[np.ndarray, np.ndarray]:
    device = chart(count)
    return device, halftone_press(device)


def test_columns_that_are_missing() -> None:
    device, lab = sheet()
    assert refusal(device[:, :2], lab).message.code == "profile-build.device-columns"
    assert refusal(device, lab[:, :2]).message.code == "profile-build.colour-columns"
    assert refusal(device, lab[:-1]).message.code == "profile-build.rows-differ"
    lab = lab.copy()
    lab[5:7, 1] = np.nan
    assert refusal(device, lab).message.values == {"count": 2, "patch": "6"}
    assert refusal(device * 2, sheet()[1]).message.code == "profile-build.device-range"


def test_inks_are_refused_plainly() -> None:
    device = np.random.default_rng(1).random((300, 4))
    assert refusal(device, np.full((300, 3), 50.0)).message.code == "profile-build.not-rgb"


def test_too_few_patches() -> None:
    device, lab = sheet()
    told = refusal(device[:60], lab[:60]).message
    assert (told.code, told.values) == ("profile-build.too-few-patches", {"count": 60, "limit": 100})


def test_a_chart_that_leaves_something_out() -> None:
    device, lab = sheet()
    white, black = device.min(axis=1) == 1, device.max(axis=1) == 0
    assert refusal(device[~white], lab[~white]).message.code == "profile-build.no-paper"
    assert refusal(device[~black], lab[~black]).message.code == "profile-build.no-black"
    dull = ~((device[:, 0] > 0.75) & (device[:, 1:] < 0.25).all(axis=1))
    told = refusal(device[dull], lab[dull]).message
    assert told.code == "profile-build.corner-missing"
    assert str(told.value("colour")) == "red"


def test_black_lighter_than_paper() -> None:
    device, lab = sheet()
    assert refusal(device, lab * [-1, 1, 1] + [100, 0, 0]).message.code == "profile-build.black-lighter"


def test_two_papers_mixed() -> None:
    device, lab = sheet()
    other = lab + np.array([-2.5, 0.5, 6.0])
    reading = np.repeat([0, 1], len(device))
    told = refusal(np.vstack([device, device]), np.vstack([lab, other]), reading).message
    assert told.code == "profile-build.two-papers"
    white = device.min(axis=1) == 1
    assert told.value("apart") == pytest.approx(float(delta_e_2000(lab[white], other[white])[0]))


def test_repeats_that_disagree() -> None:
    device, lab = sheet()
    shaken = lab + 6 * np.random.default_rng(2).standard_normal(lab.shape) * (device.min(axis=1) < 1)[:, None]
    assert (
        refusal(np.vstack([device, device]), np.vstack([lab, shaken])).message.code
        == "profile-build.repeats-disagree"
    )


def test_colours_of_another_sheet() -> None:
    device, lab = sheet(300)
    ends = (device.min(axis=1) == 1) | (device.max(axis=1) == 0)
    mixed = lab.copy()
    mixed[~ends] = np.random.default_rng(3).permutation(lab[~ends])
    assert refusal(device, mixed).message.code == "profile-build.does-not-follow"
