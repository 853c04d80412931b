"""Spectra to XYZ against the CIE's whites and the reference library's ASTM E308."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spaces import WHITE_D50
from tackside.colour.spectral import (
    spectra_to_lab,
    spectra_to_xyz,
    spectral_white,
    tristimulus_sums,
    tristimulus_weights,
)
from tackside.errors import BadInstrumentFile
from tests.colour.library import colour
from tests.refusals import refused

GRIDS = [(380, 730, 10), (400, 700, 10), (360, 780, 10), (380, 720, 20), (400, 700, 20), (360, 780, 20)]


def grid(start: float, stop: float, step: float) -> np.ndarray:
    return np.arange(start, stop + step / 2, step)


def invented_inks(wavelengths: np.ndarray) -> np.ndarray:
    """Six invented reflectances of the shapes that prints have: flat, edges, bands, a brightener's peak."""
    nm = np.asarray(wavelengths, dtype=float)
    return np.stack(
        [
            np.full_like(nm, 0.88),
            0.05 + 0.8 / (1 + np.exp(-(nm - 590) / 9)),
            0.04 + 0.8 / (1 + np.exp(-(nm - 495) / 8)),
            0.06 + 0.7 * np.exp(-(((nm - 460) / 45) ** 2)),
            0.05 + 0.5 * np.exp(-(((nm - 530) / 30) ** 2)) + 0.1 * np.exp(-(((nm - 700) / 20) ** 2)),
            0.85 + 0.2 * np.exp(-(((nm - 440) / 15) ** 2)),
        ]
    )


def test_the_observer_has_the_standards_sums() -> None:
    # CIE 15: the 1 nm sums of x̄, ȳ, z̄ over 360 to 830 nm are 106.8655, 106.8569, 106.8923 (docs/sources.md, S63).
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    assert observer.values.sum(axis=0) == pytest.approx([106.8655, 106.8569, 106.8923], abs=1e-4)
    wavelengths, _ = tristimulus_sums()
    assert wavelengths[[0, -1]].tolist() == [360, 780]


def test_the_shipped_tables_are_the_reference_librarys() -> None:
    # colour-science: D50 between its 5 nm values is linear, as CIE 15 recommends.
    wavelengths, products = tristimulus_sums()
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D50"]
    power = np.interp(wavelengths, light.wavelengths, light.values)
    expected = power[:, None] * observer[wavelengths]
    assert products == pytest.approx(expected / expected[:, 1].sum(), abs=1e-15)


def test_the_perfect_diffuser_is_the_cies_d50() -> None:
    # CIE 15:2018, D50 for the 2° observer: 96.42, 100, 82.51. ASTM E308 and ISO 13655: 96.422, 100, 82.521.
    assert 100 * spectral_white() == pytest.approx([96.42, 100, 82.51], abs=0.005)
    assert 100 * spectral_white() == pytest.approx([96.422, 100, 82.521], abs=0.01)
    assert spectral_white() == pytest.approx(WHITE_D50, abs=3e-4)
    assert spectra_to_lab(np.ones(36), grid(380, 730, 10)) == pytest.approx([100, 0, 0], abs=1e-9)


def library_tables() -> tuple[object, object]:
    """The reference library's observer and D50 (linear between its 5 nm values), 360 to 780 nm by 1 nm."""
    light = colour.SDS_ILLUMINANTS["D50"]
    wavelengths = np.arange(360, 781)
    power = np.interp(wavelengths, light.wavelengths, light.values)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    return observer.trim(colour.SpectralShape(360, 780, 1)), colour.SpectralDistribution(power, wavelengths)


@pytest.mark.parametrize(("start", "stop", "step"), GRIDS)
def test_xyz_agrees_with_the_reference_librarys_astm_e308(start: int, stop: int, step: int) -> None:
    # colour-science, sd_to_XYZ by ASTM E308, its 20 nm spectra weighted as they are
    wavelengths = grid(start, stop, step)
    spectra = invented_inks(wavelengths)
    observer, light = library_tables()
    for spectrum, xyz in zip(spectra, spectra_to_xyz(spectra, wavelengths), strict=True):
        measured = colour.SpectralDistribution(spectrum, wavelengths)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", colour.utilities.ColourRuntimeWarning)  # "Trimming …"
            expected = colour.sd_to_XYZ(
                measured, observer, light, method="ASTM E308", mi_20nm_interpolation_method=False
            )
        assert 100 * xyz == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("step", [10, 20])
def test_weights_agree_with_the_reference_librarys_astm_e2022(step: int) -> None:
    # colour-science, tristimulus_weighting_factors_ASTME2022
    observer, light = library_tables()
    expected = colour.colorimetry.tristimulus_weighting_factors_ASTME2022(
        observer, light, colour.SpectralShape(360, 780, step)
    )
    assert 100 * tristimulus_weights(360, step, len(expected)) == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize(("start", "stop", "step"), GRIDS)
def test_smooth_spectra_give_the_cies_own_1_nm_sums(start: int, stop: int, step: int) -> None:
    # CIE 15:2018, 7.1: sums by 1 nm. Ends the spectrum lacks are taken as its last value (ASTM E308).
    whole, products = tristimulus_sums()
    held = np.clip(whole, start, stop)
    exact = invented_inks(held) @ products
    wavelengths = grid(start, stop, step)
    # What sampling by 10 or 20 nm costs on the steepest of these edges.
    room = 2e-4 if step == 10 else 3e-3
    assert spectra_to_xyz(invented_inks(wavelengths), wavelengths) == pytest.approx(exact, abs=room)


@given(st.floats(330, 415), st.floats(1, 20), st.floats(0, 1.2), st.floats(-0.001, 0.001))
def test_any_regular_grid_keeps_flat_and_straight_spectra(
    start: float, step: float, level: float, slope: float
) -> None:
    wavelengths = start + step * np.arange(int(np.ceil((790 - start) / step)) + 1)
    whole, products = tristimulus_sums()
    held = np.maximum(whole, start)
    straight = level + slope * (held - 550)
    got = spectra_to_xyz(level + slope * (wavelengths - 550), wavelengths)
    # Exact where the spectrum reaches past the table; a start above 360 nm is held, on almost no weight.
    assert got == pytest.approx(straight @ products, abs=1e-9 if start <= 360 else 2e-4)


def test_many_spectra_keep_their_shape() -> None:
    assert spectra_to_xyz(np.ones((2, 7, 31)), grid(400, 700, 10)).shape == (2, 7, 3)


@pytest.mark.parametrize(
    "wavelengths",
    [
        [400, 700],
        grid(450, 700, 10),
        grid(400, 650, 10),
        grid(400, 700, 30),
        grid(400, 700, 10)[::-1],
        [*grid(400, 690, 10), 705],
        [*grid(400, 690, 10), np.nan],
        np.full(31, 500),
    ],
)
def test_wavelengths_that_cannot_serve_are_refused(wavelengths: np.ndarray) -> None:
    with pytest.raises(BadInstrumentFile):
        spectra_to_xyz(np.ones(len(wavelengths)), wavelengths)


def test_a_spectrum_of_another_length_is_refused() -> None:
    with refused(BadInstrumentFile, "colour.spectrum-length", count=30, wavelengths=31):
        spectra_to_xyz(np.ones((4, 30)), grid(400, 700, 10))
