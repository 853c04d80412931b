"""CxF/X-3 gives the same chart under any prefix, and hostile XML does no harm."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spectral import spectra_to_lab
from tackside.errors import BadInstrumentFile
from tackside.messages.message import Message
from tackside.reading.instrument.file import parse_instrument
from tests.reading.instrument.dialects import CHART_LAB, CHART_RGB, NAMES, WAVELENGTHS, spectra_of, write_cxf

GOOD = write_cxf().decode()


def refusal(text: str | bytes) -> str:
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(BadInstrumentFile) as caught:
        parse_instrument(data, "chart.cxf")
    said = str(caught.value)
    assert "chart.cxf" in said
    assert "\n" not in said
    return said


@given(
    prefix=st.sampled_from(["cc", "", "x", "CxF3"]),
    colour=st.sampled_from(["lab", "xyz", "spectral"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]),
    start=st.sampled_from(["own", "specification"]),
)
def test_every_dialect_gives_the_same_chart(prefix: str, colour: str, encoding: str, start: str) -> None:
    measured = parse_instrument(
        write_cxf(prefix=prefix, colour=colour, encoding=encoding, start=start), "chart.cxf"
    )
    wanted = spectra_to_lab(spectra_of(CHART_LAB), WAVELENGTHS) if colour == "spectral" else CHART_LAB
    np.testing.assert_allclose(measured.lab, wanted, atol=0.01)
    assert measured.rgb is not None
    np.testing.assert_allclose(measured.rgb, CHART_RGB, atol=1e-9)
    assert [names[0] for names in measured.names] == list(NAMES)
    assert measured.condition == "M1"
    assert measured.device == "an invented instrument"


@pytest.mark.parametrize(("illuminant", "observer"), [("D65", "2_Degree"), ("D50", "10_Degree")])
def test_lab_of_another_light_is_refused_and_spectra_are_computed_anew(
    illuminant: str, observer: str
) -> None:
    lab = write_cxf(illuminant=illuminant, observer=observer)
    assert "cannot be turned into D50 and 2°" in refusal(lab)
    spectra = write_cxf(colour="spectral", illuminant=illuminant, observer=observer)
    measured = parse_instrument(spectra, "chart.cxf")
    np.testing.assert_allclose(measured.lab, spectra_to_lab(spectra_of(CHART_LAB), WAVELENGTHS), atol=0.01)
    assert "instrument.computed-again" in [notice.code for notice in measured.notices]


BOMBS = {
    "billion laughs": '<!DOCTYPE b [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefghi", "bcdefghij", strict=True))
    + "]><CxF>&j;</CxF>",
    "file of the machine": '<!DOCTYPE b [<!ENTITY a SYSTEM "file:///etc/hostname">]><CxF>&a;</CxF>',
    "from the network": '<!DOCTYPE CxF SYSTEM "http://127.0.0.1:1/x.dtd"><CxF/>',
    "parameter entity": '<!DOCTYPE b [<!ENTITY % a SYSTEM "http://127.0.0.1:1/x.dtd"> %a;]><CxF/>',
}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize("bomb", BOMBS.values(), ids=BOMBS.keys())
def test_document_types_and_entities_are_refused_before_parsing(bomb: str, encoding: str) -> None:
    began = time.monotonic()
    told = refusal(f'<?xml version="1.0"?>{bomb}'.encode(encoding))
    assert "declares a document type or entities" in told
    assert time.monotonic() - began < 1


@pytest.mark.parametrize("depth", [60, 250, 100_000])
def test_bottomless_nesting_is_refused(depth: int) -> None:
    refusal("<CxF>" + "<a>" * depth + "</a>" * depth + "</CxF>")


def test_a_flood_of_elements_is_refused_early() -> None:
    assert "more than 500000 elements" in refusal("<CxF>" + "<a/>" * 600_000 + "</CxF>")


def test_a_document_of_another_kind_is_refused() -> None:
    assert "not CxF (its root is 'html')" in refusal("<html><body/></html>")


@pytest.mark.parametrize("length", range(len(GOOD) // 10, len(GOOD) - 1, len(GOOD) // 23))
def test_a_document_cut_off_anywhere_is_refused(length: int) -> None:
    assert "the XML is broken or breaks off" in refusal(GOOD[:length])


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("<cc:L>95.1</cc:L>", "<cc:L>NaN</cc:L>", "line 5: 'NaN' in ColorCIELab is not a number"),
        ("<cc:L>95.1</cc:L>", "", "line 5: ColorCIELab lacks L"),
        (
            "<cc:L>95.1</cc:L>",
            "<cc:L>951</cc:L>",
            "line 5: L*a*b* 951/0.2/−2.4 is not the colour of any print",
        ),
        ("<cc:R>255.0</cc:R>", "", "line 6: ColorRGB lacks a part"),
        ("<cc:R>255.0</cc:R>", "<cc:R>300</cc:R>", "line 5: the RGB value is beyond its range"),
    ],
)
def test_what_does_not_hold_together_is_named_with_its_line(old: str, new: str, told: str) -> None:
    assert old in GOOD
    assert told in refusal(GOOD.replace(old, new, 1))


def test_spectra_without_wavelengths_are_refused() -> None:
    text = write_cxf(colour="spectral").decode().replace('StartWL="380" ', "")
    assert "does not say its first wavelength" in refusal(text)


def test_no_measured_colours_are_refused() -> None:
    assert "holds no measured colours" in refusal('<CxF xmlns="http://colorexchangeformat.com/CxF3-core"/>')


def test_device_numbers_that_some_objects_lack_are_not_used() -> None:
    begins = GOOD.index("<cc:DeviceColorValues>")
    ends = GOOD.index("</cc:DeviceColorValues>") + len("</cc:DeviceColorValues>")
    measured = parse_instrument((GOOD[:begins] + GOOD[ends:]).encode(), "chart.cxf")
    assert measured.rgb is None
    told = Message("instrument.some-without-numbers", count=11, objects=12, colours="RGB")
    assert told in measured.notices
