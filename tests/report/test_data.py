"""The attached data says the same as the records, to readers that are not ours."""

from __future__ import annotations

import csv
import ctypes
import io
from dataclasses import replace
from pathlib import Path

import PIL
import pytest

from tackside.reading.instrument.file import read_instrument_file
from tackside.report.data import attachments, cgats_of, figures_csv, patches_csv, plain_name
from tests.report.invented import entry, four


@pytest.fixture(scope="module")
def lcms() -> ctypes.CDLL:
    """LittleCMS, whose CGATS/IT8 parser shares nothing with ours; Pillow's wheel brings it."""
    found = sorted(Path(PIL.__file__).parent.parent.glob("pillow.libs/liblcms2*.so*"))
    if not found:
        pytest.skip("this Pillow brings no LittleCMS of its own")
    library = ctypes.CDLL(str(found[0]))
    library.cmsIT8LoadFromMem.restype = ctypes.c_void_p
    library.cmsIT8GetProperty.restype = ctypes.c_char_p
    library.cmsIT8GetData.restype = ctypes.c_char_p
    library.cmsIT8GetDataDbl.restype = ctypes.c_double
    library.cmsIT8GetPropertyDbl.restype = ctypes.c_double
    return library


def test_cgats_is_read_back_by_an_independent_reader(lcms: ctypes.CDLL) -> None:
    one = entry("Möwe “Fein” 300")
    text = cgats_of(one)
    table = ctypes.c_void_p(lcms.cmsIT8LoadFromMem(None, text, len(text)))
    assert table.value
    assert lcms.cmsIT8GetPropertyDbl(table, b"NUMBER_OF_SETS") == len(one.reading.patches)
    assert b"Mowe" in lcms.cmsIT8GetProperty(table, b"DESCRIPTOR")
    for patch in one.reading.patches:
        name = patch.name.encode()
        lab = [lcms.cmsIT8GetDataDbl(table, name, field) for field in (b"LAB_L", b"LAB_A", b"LAB_B")]
        rgb = [lcms.cmsIT8GetDataDbl(table, name, field) for field in (b"RGB_R", b"RGB_G", b"RGB_B")]
        assert lab == pytest.approx(patch.lab, abs=1e-4)
        assert patch.rgb is not None
        assert [value / 255 for value in rgb] == pytest.approx(patch.rgb, abs=1e-6)
    lcms.cmsIT8Free(table)


def test_cgats_comes_back_as_the_reading_that_it_was(tmp_path: Path) -> None:
    one = entry()
    (tmp_path / "r.txt").write_bytes(cgats_of(one))
    again = read_instrument_file(tmp_path / "r.txt")
    given = {patch.name: patch for patch in one.reading.patches}
    assert len(again.patches) == len(
        {patch.rgb for patch in one.reading.patches}
    )  # repeats of a colour are averaged
    for patch in again.patches:
        assert patch.lab == pytest.approx(given[patch.name].lab, abs=1e-4)
        assert patch.rgb == pytest.approx(given[patch.name].rgb, abs=1e-4)


def test_csv_holds_to_rfc_4180() -> None:
    # RFC 4180, section 2: CRLF ends each line, quotes are doubled, every line has as many fields as the first.
    one = entry('Card "A", the first\nof two', trial_id="T1")
    for made in (figures_csv([one], ["x"]), patches_csv([one], ['a "b", c'])):
        text = made.decode("utf-8")
        assert text.endswith("\r\n")
        lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert {len(line) for line in lines} == {len(lines[0])}
    figures = list(csv.DictReader(io.StringIO(figures_csv([one], ["x"]).decode(), newline="")))
    assert figures[0]["stock"] == 'Card "A", the first\nof two'
    found = {line["measure"]: float(line["value"]) for line in figures}
    assert found["black_l"] == 6
    assert [found[f"paper_lab_{axis}"] for axis in "lab"] == [95, 0, -2]
    patches = list(csv.DictReader(io.StringIO(patches_csv([one], ["x"]).decode(), newline="")))
    assert len(patches) == len(one.reading.patches)
    assert float(patches[5]["lab_l"]) == pytest.approx(one.reading.patches[5].lab[0], rel=1e-5)


def test_a_name_is_never_a_formula() -> None:
    one = entry('=HYPERLINK("x")')
    assert b"\n'=HYPER" in figures_csv([one], ["=1+1"]).replace(b'"', b"").replace(
        b"'=1+1,HS300-T8-1,", b"\n"
    )


def test_every_trial_with_patches_has_its_file() -> None:
    entries = four()
    bare = replace(entries[0], reading=entries[0].reading.model_copy(update={"patches": ()}))
    names = [one.name for one in attachments([bare, *entries[1:]], [str(n) for n in range(4)])]
    assert names == ["figures.csv", "patches.csv", "fe310-t8-1.txt", "pm230-t8-1.txt", "sc250-t8-1.txt"]
    assert plain_name("../../etc/passwd") == "etc-passwd"
    assert plain_name("纸") == "card"
