"""A print through the built profile on the virtual press, beside what a proof by that profile shows; then refined."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.bench.store import Bench
from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.errors import BadRequest
from tackside.picture.choose.cards import printed_lab
from tackside.profile.device.device import Intent, ProfileDevice, relative_lab
from tackside.records import Trial
from tackside.workflow.pictures.read_cards import newest_readings
from tackside.workflow.profiles.build import build_own_profile, refine_own_profile
from tackside.workflow.profiles.check import check_profile
from tackside.workflow.profiles.kept import kept_profile_of
from tackside.workflow.profiles.refine import evidence_to_refine
from tackside.workflow.profiles.sheet_through import sheet_profile
from tackside.workflow.trials import make_trial
from tests.extent import share
from tests.workflow.own_profiles import (
    bench_with,
    built_once,
    device_trial,
    press_of,
    read_by_instrument,
    truth_of,
)

__all__ = ["built_once"]  # a fixture


def sheet_through(bench: Bench, file: Path, stock: str, intent: Intent) -> Trial:
    return make_trial(bench, stock, "Tern 8", through=sheet_profile(str(file), intent, True)).trial


def came_off(trial: Trial, name: str) -> np.ndarray:
    """ΔE00 between what the profile promised of each patch and what the press lays down, no reading's noise in it."""
    assert trial.through is not None
    return delta_e_2000(truth_of(trial, name), np.array(trial.through.promised))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "stock", "intent"),
    share(
        [
            ("harbour-satin-300", "Harbour Satin 300", "relative"),
            ("harbour-satin-300", "Harbour Satin 300", "perceptual"),
            ("fulmar-etching-310", "Fulmar Etching 310", "relative"),
        ],
        3,
    ),
)
def test_the_print_keeps_the_promise_and_after_refining_more_so(
    tmp_path: Path, name: str, stock: str, intent: Intent
) -> None:
    bench = bench_with(tmp_path / "bench", name)
    trial = device_trial(bench, name)
    read_by_instrument(bench, trial, name)
    first = tmp_path / "first.icc"
    built = build_own_profile(bench, [trial.id], out=first)
    print_one = sheet_through(bench, first, stock, intent)
    apart = came_off(print_one, name)
    assert np.median(apart) < 0.6
    reading = read_by_instrument(bench, print_one, name, seed=2)
    found = check_profile(bench, print_one.id)
    assert found.told.code == "own-profile.check.kept"
    assert len(found.patches) == len(reading.patches)
    assert found.median == pytest.approx(np.median([each.de00 for each in found.patches]))
    second = tmp_path / "second.icc"
    refined = refine_own_profile(bench, print_one.id, out=second)
    assert refined.own.evidence.trials == (trial.id, print_one.id)
    assert refined.own.quality.patches > built.own.quality.patches
    print_two = sheet_through(bench, second, stock, intent)
    after = came_off(print_two, name)
    assert np.median(after) < 0.4
    assert np.median(after) < np.median(apart)
    kept = kept_profile_of(bench, trial.id)
    assert kept is not None
    assert refined.kept is not None
    assert kept.sha256 == refined.kept.sha256
    # A print that was made to check the profile does not stand for the card.
    assert [each.id for each, _ in newest_readings(bench)] == [trial.id]


@pytest.fixture(scope="module")
def built_profile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A profile of Harbour Satin 300 from a bench of its own."""
    folder = tmp_path_factory.mktemp("built")
    bench = bench_with(folder / "bench", "harbour-satin-300")
    trial = device_trial(bench, "harbour-satin-300")
    read_by_instrument(bench, trial, "harbour-satin-300")
    build_own_profile(bench, [trial.id], out=folder / "card.icc")
    return folder / "card.icc"


@pytest.mark.slow
def test_a_profile_from_elsewhere_is_refined_by_the_measurements_that_it_carries(
    built_profile: Path, tmp_path: Path
) -> None:
    name = "harbour-satin-300"
    bench = bench_with(tmp_path / "other", name)
    through = sheet_through(bench, built_profile, "Harbour Satin 300", "relative")
    read_by_instrument(bench, through, name, seed=2)
    found = evidence_to_refine(bench, through.id)
    carried = len(found.measured.device) - len(through.sheet.patches)
    assert carried > 400
    assert found.count == 2
    lab = press_of(name).lab_of(found.measured.device)
    assert np.median(delta_e_2000(found.measured.lab, lab)) < 0.5  # the noise of both readings


@pytest.mark.slow
def test_the_promise_is_what_a_proof_shows(built_profile: Path, tmp_path: Path) -> None:
    file = built_profile
    bench = bench_with(tmp_path / "bench", "harbour-satin-300")
    sent = sheet_through(bench, file, "Harbour Satin 300", "relative")
    assert sent.through is not None
    device = ProfileDevice(file.read_bytes())
    asked = rgb_to_lab(np.array([patch.rgb for patch in sent.sheet.patches]), SRGB)
    shown = printed_lab(device, device, asked, "relative", bpc=True)
    numbers = device.from_lab(asked, "relative", True)
    assert relative_lab(device, numbers) == pytest.approx(shown)
    assert np.array(sent.through.promised) == pytest.approx(device.to_lab(numbers), abs=1e-9)
    # The file's numbers have 8 bits, and LittleCMS between them: what the press is sent is near what the proof means.
    off = delta_e_2000(device.to_lab(np.array(sent.through.numbers)), device.to_lab(numbers))
    assert np.median(off) < 0.3
    white = [patch.rgb for patch in sent.sheet.patches].index((1.0, 1.0, 1.0))
    assert sent.through.numbers[white] == (1.0, 1.0, 1.0)


def test_a_sheet_through_no_profile_has_no_promise(tmp_path: Path) -> None:
    name = "harbour-satin-300"
    bench = bench_with(tmp_path / "bench", name)
    trial = device_trial(bench, name)
    read_by_instrument(bench, trial, name)
    for ask in (lambda: check_profile(bench, trial.id), lambda: refine_own_profile(bench, trial.id)):
        with pytest.raises(BadRequest) as refused:
            ask()
        assert refused.value.message.code == "own-profile.sheet-through-none"
