"""Whatever program wrote the chart, the same colours come out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spectral import spectra_to_lab
from tackside.messages.message import Message
from tackside.reading.instrument.file import parse_instrument
from tests.reading.instrument.dialects import (
    CHART_LAB,
    CHART_RGB,
    NAMES,
    WAVELENGTHS,
    Dialect,
    spectra_of,
    write_cgats,
)

BAND_NAMES = (
    "SPECTRAL_NM{}",
    "SPECTRAL_NM_{}",
    "SPECTRAL_{}",
    "SPECTRAL_DEC{}",
    "SPECTR_{}",
    "REFLECT{}",
    "nm{}",
    "NM_{}",
    "R_{}",
    "R{}",
    "R_{}NM",
    "{}nm",
    "{}",
)

dialects = st.builds(
    Dialect,
    identifier=st.sampled_from(
        ["CGATS.17", "CGATS.5", "IT8.7/4", "HERON", "HERON3", "ROW_OF_HERON 12", None]
    ),
    separator=st.sampled_from(["\t", " ", "   ", " \t"]),
    line_end=st.sampled_from(["\n", "\r\n", "\r"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "utf-32"]),
    comma=st.booleans(),
    quoted=st.booleans(),
    full_scale=st.sampled_from([1.0, 100.0, 255.0]),
    colour=st.sampled_from(["lab", "xyz", "xyz-unit", "spectral"]),
    band_name=st.sampled_from(BAND_NAMES),
    percent=st.booleans(),
    comments=st.booleans(),
    other_table=st.booleans(),
    counts=st.booleans(),
    lower_case=st.booleans(),
)


@given(dialects)
def test_every_dialect_gives_the_same_chart(dialect: Dialect) -> None:
    measured = parse_instrument(write_cgats(dialect), "chart.txt")
    wanted = spectra_to_lab(spectra_of(CHART_LAB), WAVELENGTHS) if dialect.colour == "spectral" else CHART_LAB
    # Six decimals are written; XYZ on a scale of 1 keeps the fewest, and b* of a dark blue feels it most.
    np.testing.assert_allclose(measured.lab, wanted, atol=0.01)
    assert measured.rgb is not None
    np.testing.assert_allclose(measured.rgb, CHART_RGB, atol=1e-5)
    assert [names[0].upper() for names in measured.names] == list(NAMES)


@pytest.mark.parametrize("full_scale", [1.0, 100.0, 255.0])
def test_the_range_of_rgb_is_inferred_and_told(full_scale: float) -> None:
    measured = parse_instrument(write_cgats(Dialect(full_scale=full_scale)), "chart.txt")
    assert Message("instrument.range-inferred", colours="RGB", top=full_scale) in measured.notices


def test_names_with_spaces_are_kept_apart_by_tabs() -> None:
    names = [f"patch {number} of the chart" for number in range(len(NAMES))]
    measured = parse_instrument(write_cgats(Dialect(separator="\t"), names=names), "chart.txt")
    assert [row[0] for row in measured.names] == names


def test_latin_1_words_do_not_stop_the_reader() -> None:
    data = b'CGATS.17\nORIGINATOR "B\xfcro"\n' + write_cgats(Dialect(identifier=None))
    assert len(parse_instrument(data, "chart.txt").lab) == len(NAMES)


def test_the_measurement_is_taken_where_a_file_holds_several_tables() -> None:
    first = write_cgats(Dialect(other_table=True))
    short = write_cgats(Dialect(), CHART_RGB[:3], CHART_LAB[:3], NAMES[:3])
    assert len(parse_instrument(short + first, "chart.txt").lab) == len(NAMES)
    assert len(parse_instrument(first + b"\n" + short, "chart.txt").lab) == len(NAMES)


def test_spectra_are_preferred_to_lab_of_another_light() -> None:
    text = write_cgats(Dialect(colour="spectral")).decode()
    text = text.replace("BEGIN_DATA_FORMAT", 'ILLUMINANT "D65"\nBEGIN_DATA_FORMAT')
    measured = parse_instrument(text.encode(), "chart.txt")
    np.testing.assert_allclose(measured.lab, spectra_to_lab(spectra_of(CHART_LAB), WAVELENGTHS), atol=0.01)
    light = Message("instrument.illuminant", illuminant="D65")
    assert Message("instrument.computed-again", foreign=(light,)) in measured.notices


@pytest.mark.parametrize(("unit", "scale"), [("PCT", 100), ("DEC", 1)])
def test_wavelengths_may_stand_beside_their_values(unit: str, scale: int) -> None:
    # CGATS.17's own form of spectra: pairs of SPECTRAL_NM and SPECTRAL_PCT or SPECTRAL_DEC.
    spectra = spectra_of(CHART_LAB) * scale
    rows = [
        " ".join(f"{nm} {value:.6f}" for nm, value in zip(WAVELENGTHS, row, strict=True)) for row in spectra
    ]
    fields = f"SPECTRAL_NM SPECTRAL_{unit} " * len(WAVELENGTHS)
    lines = ["CGATS.17", "BEGIN_DATA_FORMAT", fields, "END_DATA_FORMAT", "BEGIN_DATA", *rows, "END_DATA"]
    measured = parse_instrument("\n".join(lines).encode(), "chart.txt")
    np.testing.assert_allclose(measured.lab, spectra_to_lab(spectra_of(CHART_LAB), WAVELENGTHS), atol=0.01)


def test_lab_and_xyz_that_disagree_are_remarked_on() -> None:
    rows = "\n".join(f"{i} {10 * i} {10 * i} {10 * i} {5 * i} 0 0" for i in range(1, 10))
    text = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID XYZ_X XYZ_Y XYZ_Z LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        f"BEGIN_DATA\n{rows}\nEND_DATA\n"
    )
    measured = parse_instrument(text.encode(), "chart.txt")
    assert "instrument.lab-and-xyz-differ" in [notice.code for notice in measured.notices]
    np.testing.assert_allclose(measured.lab[:, 0], 5 * np.arange(1, 10))


@pytest.mark.parametrize(
    ("line", "condition"),
    [
        ('MEASUREMENT_CONDITION "M1"', "M1"),
        ('MEASUREMENT_SOURCE "light M2 (UV cut)"', "M2"),
        ('FILTER "M3"', "M3"),
        ('MEASUREMENT_FILTER "UVcut"', "M2"),
        ('MEASUREMENT_SOURCE "GAS-FILLED TUNGSTEN"', "M0"),  # ISO 13655: M0 is tungsten
        ('PRINT_CONDITIONS "coated, 115 g/m2, ISO 12647-2"', None),  # a weight is no condition
        ('ORIGINATOR "M1 studio"', None),
    ],
)
def test_the_measurement_condition_is_recorded(line: str, condition: str | None) -> None:
    data = write_cgats(Dialect(identifier=f"CGATS.17\n{line}"))
    assert parse_instrument(data, "chart.txt").condition == condition


@pytest.mark.parametrize(
    "line",
    [
        'ILLUMINANT "D50"',
        'OBSERVER "2"',
        'OBSERVER "CIE 2 degree"',
        'WEIGHTING_FUNCTION "ILLUMINANT, D50"',
        'WEIGHTING_FUNCTION "OBSERVER, 2 degree"',
        'MEASUREMENT_SOURCE "illuminant=D50 observer=2 white=absolute"',
        'PRINT_CONDITIONS "white paper, 300 g/m2"',
        'INSTRUMENTATION "D50, 2 degree, geometry 45/0"',
    ],
)
def test_d50_and_2_degrees_pass_without_a_word(line: str) -> None:
    measured = parse_instrument(write_cgats(Dialect(identifier=f"CGATS.17\n{line}")), "chart.txt")
    assert {notice.code for notice in measured.notices} == {"instrument.range-inferred"}
