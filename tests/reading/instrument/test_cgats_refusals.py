"""A file that cannot be trusted is refused in one sentence that names file, line and mend."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tackside.errors import BadInstrumentFile
from tackside.reading.instrument.file import parse_instrument, read_instrument_file
from tests.reading.instrument.dialects import Dialect, write_cgats
from tests.refusals import refused

GOOD = write_cgats(Dialect(separator=" ")).decode()


def refusal(text: str | bytes) -> str:
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(BadInstrumentFile) as caught:
        parse_instrument(data, "chart.txt")
    said = str(caught.value)
    assert "chart.txt" in said
    assert ";" in said
    assert "\n" not in said
    assert not said.endswith(".")
    return said


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("NUMBER_OF_SETS 12", "NUMBER_OF_SETS 13", "NUMBER_OF_SETS says 13 but the table has 12 rows"),
        ("NUMBER_OF_FIELDS 7", "NUMBER_OF_FIELDS 9", "NUMBER_OF_FIELDS says 9 but the table has 7 columns"),
        ("NUMBER_OF_SETS 12", "NUMBER_OF_SETS many", "not a whole number"),
        ("95.100000", "NaN", "line 9: 'NaN' in column LAB_L is no number"),
        ("95.100000", "inf", "line 9: 'inf' in column LAB_L is no number"),
        ("95.100000", "1e999", "is no number"),
        ("95.100000", "--", "is no number"),
        ("95.100000", "1.234,5", "is no number"),
        ("95.100000", "", "line 9: 6 values for 7 columns"),
        ("95.100000", "95 1", "line 9: 8 values for 7 columns"),
        ("95.100000", "112", "line 9: L*a*b* 112/0.2/−2.4 is not the colour of any print"),
        ("95.100000", "-3", "is not the colour of any print"),
        ("0.200000 -2.400000", "0.2 -240", "is not the colour of any print"),
        ("255.000000", "256", "the RGB value 256 is above 255"),
        ("255.000000", "-1", "line 9: the RGB value is negative"),
        ("LAB_B", "LAB_X", "only LAB_L, LAB_A"),
        ("RGB_B", "BLUE", "the column RGB_B is missing"),
        ("RGB_B", "RGB_R", "the column RGB_R stands there twice"),
        ("END_DATA\n", "", "breaks off: what began on line 8 has no END_DATA"),
        ("END_DATA_FORMAT", "", "BEGIN_DATA inside the part that began on line"),
        ("BEGIN_DATA_FORMAT\n", "NOTE ", "no BEGIN_DATA_FORMAT says what the columns are"),
    ],
)
def test_what_does_not_hold_together_is_named(old: str, new: str, told: str) -> None:
    assert old in GOOD
    assert told in refusal(GOOD.replace(old, new, 1))


@pytest.mark.parametrize(
    "line",
    [
        'ILLUMINANT "D65"',
        'OBSERVER "10 degree"',
        'WEIGHTING_FUNCTION "ILLUMINANT, A"',
        'WEIGHTING_FUNCTION "OBSERVER, 10 degree"',
        'MEASUREMENT_SOURCE "illuminant=D65 observer=10"',
        'MEASUREMENT_SOURCE "Light: D65, Observer_of_the_heron: 2"',
        'MEASUREMENT_SOURCE "illuminant=D50 observer=2 white=paper"',
        'WHITE_REFERENCE "paper"',
    ],
)
def test_colours_of_another_light_or_white_are_refused_without_spectra(line: str) -> None:
    assert "cannot be turned into D50 and 2°" in refusal(write_cgats(Dialect(identifier=line)))


@pytest.mark.parametrize("length", range(0, len(GOOD) - len("END_DATA\n"), 37))
def test_a_file_cut_off_anywhere_is_refused(length: int) -> None:
    refusal(GOOD[:length])


def test_impossible_reflectance_is_refused() -> None:
    text = write_cgats(Dialect(colour="spectral", separator=" ")).decode()
    first = text.split("BEGIN_DATA\n")[1].split()[4]
    assert "is not possible" in refusal(text.replace(first, "-0.5", 1))
    assert "is not possible" in refusal(text.replace(first, "450", 1))


def test_spectra_that_stop_short_are_refused() -> None:
    columns = " ".join(f"NM{nm}" for nm in range(500, 620, 10))
    values = " ".join(["0.5"] * 12)
    told = refusal(
        f"CGATS.17\nBEGIN_DATA_FORMAT\n{columns}\nEND_DATA_FORMAT\nBEGIN_DATA\n{values}\nEND_DATA\n"
    )
    assert "500 to 610 nm" in told


def test_wavelengths_that_change_from_row_to_row_are_refused() -> None:
    fields = " ".join(["SPECTRAL_NM SPECTRAL_DEC"] * 3)
    rows = "400 0.5 410 0.5 420 0.5\n400 0.5 410 0.5 430 0.5"
    told = refusal(f"X\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}\nEND_DATA\n")
    assert "line 7: SPECTRAL_NM is not one wavelength" in told


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\n \n",
        b"\xff\xfe",
        b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR",
        b"II*\0" + bytes(64),
        os.urandom(512) + b"\0",
    ],
)
def test_empty_and_binary_files_are_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "chart.txt"
    path.write_bytes(data)
    with pytest.raises(BadInstrumentFile, match=r"chart\.txt"):
        read_instrument_file(path)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with refused(BadInstrumentFile, "instrument.file-missing"):
        read_instrument_file(tmp_path / "chart.txt")
    with refused(BadInstrumentFile, "instrument.folder"):
        read_instrument_file(tmp_path)


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "chart.txt"
    with path.open("wb") as file:
        file.truncate(3 * 1024**3)  # a sparse file: it takes no room
    with refused(BadInstrumentFile, "instrument.too-large", limit_mb=16):
        read_instrument_file(path)


def test_too_many_rows_are_refused() -> None:
    text = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nLAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n" + "50 0 0\n" * 200_001
    )
    assert "more than 200000 rows" in refusal(text + "END_DATA\n")
