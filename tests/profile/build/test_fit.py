"""The fit of the patches: its equations against plain ones, and how near it comes to presses that it never saw."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.profile.build import kernels
from tackside.profile.build.evidence import weigh
from tackside.profile.build.measured import MeasuredPatches
from tackside.profile.build.surface import ColourSurface, fit_surface, lifted
from tackside.profile.device.device_model import fit_device_model
from tackside.profile.icc.ramps import RGB_ENDS
from tests.extent import share
from tests.profile.build.built import NOISE, measured
from tests.profile.build.presses import PRESSES, chart, grid, read

ANYWHERE = np.random.default_rng(2024).random((5000, 3))


def matern(distance: np.ndarray) -> np.ndarray:
    s = np.sqrt(5) * distance
    return (1 + s + s * s / 3) * np.exp(-s)


def plain_covariance(one: np.ndarray, other: np.ndarray, theta: np.ndarray) -> np.ndarray:
    """The covariance as the module's text has it, without loops."""
    axes = one.shape[1]
    weights, lengths = np.exp(theta[:axes]), np.exp(theta[axes : 2 * axes])
    a, b = np.exp(theta[2 * axes + 2 : 3 * axes + 2]), np.exp(theta[3 * axes + 2 :])
    one, other = (1 - (1 - (0.03 + 0.94 * each) ** a) ** b for each in (one, other))
    apart = np.abs(one[:, None] - other[None]) / lengths
    return np.exp(2 * theta[2 * axes]) * np.prod(1 + weights * matern(apart), axis=2) + 100.0


def plain_evidence(places: np.ndarray, values: np.ndarray, spread: np.ndarray, theta: np.ndarray) -> float:
    axes = places.shape[1]
    noise = np.exp(2 * theta[2 * axes + 1]) * spread + 1e-9
    matrix = plain_covariance(places, places, theta) + np.diag(noise)
    return float(0.5 * values @ np.linalg.solve(matrix, values) + 0.5 * np.linalg.slogdet(matrix)[1])


def some(count: int = 60) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    random = np.random.default_rng(3)
    places = lifted(random.random((count, 3)))
    theta = 0.4 * random.standard_normal(18)
    theta[9] = -1.0
    return places, random.standard_normal(count), random.uniform(0.5, 2, count), theta


def test_the_evidence_is_that_of_a_gaussian_process_and_its_slope_is_right() -> None:
    places, values, spread, theta = some()
    slope = np.empty(18)
    value = kernels.evidence(places, values, spread, theta, slope)
    assert value == pytest.approx(plain_evidence(places, values, spread, theta), abs=1e-6)
    for number in range(18):
        low, high = theta.copy(), theta.copy()
        low[number] -= 1e-5
        high[number] += 1e-5
        ahead = plain_evidence(places, values, spread, high) - plain_evidence(places, values, spread, low)
        assert slope[number] == pytest.approx(ahead / 2e-5, abs=1e-3), number


def small_surface() -> tuple[np.ndarray, np.ndarray, ColourSurface]:
    device = chart(120)
    lab = read("halftone", device, NOISE)
    return device, lab, fit_surface(device, lab, np.ones(len(device)), np.full(3, NOISE), sure_of_noise=0.1)


def plainly(device: np.ndarray, lab: np.ndarray, surface: ColourSurface, at: np.ndarray) -> np.ndarray:
    """The surface's colours, from its lengths alone, solved by NumPy."""
    out = np.empty((len(at), 3))
    for number, part in enumerate(surface.parts):
        noise = np.exp(2 * part.theta[9]) * surface.stiffness**2 + 1e-9
        matrix = plain_covariance(lifted(device), lifted(device), part.theta) + noise * np.eye(len(device))
        weights = np.linalg.solve(matrix, (lab[:, number] - part.mean) / part.scale)
        seen = plain_covariance(lifted(at), lifted(device), part.theta) @ weights
        out[:, number] = part.mean + part.scale * seen
    return out


def test_the_surface_solves_its_equations_and_leaves_each_patch_out() -> None:
    device, lab, surface = small_surface()
    places = np.random.default_rng(5).random((40, 3))
    assert surface.at(places) == pytest.approx(plainly(device, lab, surface, places), abs=1e-5)
    for row in (0, 50, 118):  # fitted again without the patch, the long way round
        others = np.arange(len(device)) != row
        alone = plainly(device[others], lab[others], surface, device[[row]])[0]
        assert surface.left_out[row] == pytest.approx(alone, abs=1e-4)


def test_noise_is_found_without_being_told() -> None:
    device = chart(300)
    for noise in (0.1, 0.5):
        lab = read("halftone", device, noise)
        surface = fit_surface(device, lab, np.ones(len(device)), np.full(3, 0.3), sure_of_noise=1.0)
        assert surface.noise == pytest.approx(np.full(3, noise), rel=0.35)


def off(press: str, device: np.ndarray, noise: float) -> np.ndarray:
    fitted = weigh(MeasuredPatches.of(device, read(press, device, noise))).surface
    return delta_e_2000(fitted.at(ANYWHERE), PRESSES[press](ANYWHERE))


@pytest.mark.parametrize("press", share(list(PRESSES), 2))
def test_512_patches_tell_colours_anywhere(press: str) -> None:
    error = off(press, chart(512), NOISE)
    assert np.median(error) <= 0.15
    assert np.quantile(error, 0.95) <= 0.32


@pytest.mark.slow
@pytest.mark.parametrize("press", share(list(PRESSES), 2, 1))
def test_an_even_grid_of_512_does_as_well(press: str) -> None:
    error = off(press, grid(8), NOISE)
    assert np.median(error) <= 0.16
    assert np.quantile(error, 0.95) <= 0.36


@pytest.mark.parametrize("press", share(list(PRESSES), 2, 2))
def test_200_patches_do_for_a_start(press: str) -> None:
    assert np.median(off(press, chart(200), NOISE)) <= 0.3


@pytest.mark.slow
@pytest.mark.parametrize("press", share(list(PRESSES), 2, 3))
def test_it_beats_a_plain_spline_where_noise_is_larger(press: str) -> None:
    device, noise = chart(512), 0.25  # of each of L*, a*, b*
    plain = fit_device_model(device, read(press, device, noise))
    error = off(press, device, noise)
    theirs = delta_e_2000(plain.to_lab(ANYWHERE), PRESSES[press](ANYWHERE))
    assert np.median(error) < 0.85 * np.median(theirs)
    assert np.quantile(error, 0.95) < 0.85 * np.quantile(theirs, 0.95)


@pytest.mark.parametrize("press", share(list(PRESSES), 2, 4))
def test_ramps_bend_no_more_than_the_presses_own_and_the_noise(press: str) -> None:
    surface = weigh(measured(press, 512)).surface
    for end in RGB_ENDS.values():
        ramp = 1 + np.linspace(0, 1, 65)[:, None] * (np.array(end, dtype=float) - 1)
        bends = [
            np.linalg.norm(lab[:-2] - 2 * lab[1:-1] + lab[2:], axis=1).max()
            for lab in (surface.at(ramp), PRESSES[press](ramp))
        ]
        assert bends[0] <= bends[1] + 0.25, end  # the noise of one patch


@pytest.mark.parametrize("press", share(list(PRESSES), 2, 5))
def test_the_error_it_states_is_not_below_its_true_error(press: str) -> None:
    evidence = weigh(measured(press, 300))
    stated = delta_e_2000(evidence.surface.left_out, evidence.patches.lab)
    error = delta_e_2000(evidence.surface.at(ANYWHERE), PRESSES[press](ANYWHERE))
    assert np.median(stated) >= np.median(error)
    assert np.quantile(stated, 0.95) >= np.quantile(error, 0.95)
