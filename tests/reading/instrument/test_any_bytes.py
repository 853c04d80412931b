"""Whatever the bytes, a table comes out or BadInstrumentFile does, in one plain line; nothing else."""

from __future__ import annotations

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from tackside.errors import BadInstrumentFile
from tackside.reading.instrument.cgats import words_of
from tackside.reading.instrument.columns import number_of
from tackside.reading.instrument.file import parse_instrument
from tests.reading.instrument.dialects import Dialect, write_cgats, write_cxf

KEYWORDS = (
    "CGATS.17",
    "NUMBER_OF_FIELDS",
    "NUMBER_OF_SETS",
    "BEGIN_DATA_FORMAT",
    "END_DATA_FORMAT",
    "BEGIN_DATA",
    "END_DATA",
    "LAB_L",
    "LAB_A",
    "LAB_B",
    "XYZ_X XYZ_Y XYZ_Z",
    "RGB_R RGB_G RGB_B",
    "SPECTRAL_NM400",
    "SPECTRAL_NM410",
    "SAMPLE_ID",
    "ILLUMINANT",
    "KEYWORD",
    '"',
    "#",
    "D50",
    "0",
    "50",
    "-1e5",
    "1,5",
    "NaN",
    "\n",
    "\r\n",
    "\t",
    " ",
)
TAGS = (
    "<CxF>",
    "</CxF>",
    '<Object Name="a">',
    "</Object>",
    "<ColorValues>",
    "</ColorValues>",
    "<ColorCIELab><L>50</L><A>1</A><B>2</B></ColorCIELab>",
    "<ColorCIEXYZ><X>5</X><Y>1</Y><Z>2</Z></ColorCIEXYZ>",
    '<ReflectanceSpectrum StartWL="380" Increment="10">',
    "</ReflectanceSpectrum>",
    "0.5 0.5 0.5",
    "<ColorRGB><R>1</R><G>1</G><B>0</B></ColorRGB>",
    "<!-- -->",
    "<![CDATA[1]]>",
    "<?x y?>",
    "&amp;",
    "&x;",
    "<!DOCTYPE x>",
)


def table_or_refusal(data: bytes) -> None:
    try:
        measured = parse_instrument(data, "chart")
    except BadInstrumentFile as error:
        said = str(error)
        assert "\n" not in said
        assert "chart" in said
        assert len(said) < 400
        return
    assert np.isfinite(measured.lab).all()
    assert measured.lab.shape == (len(measured.names), 3)


@given(st.binary(max_size=400))
@example(b"\xff\xfe\x00\x00\xff")
@example(b"\xff\xfe\x00\xd8")
def test_any_bytes(data: bytes) -> None:
    table_or_refusal(data)


@given(st.text(max_size=400))
def test_any_text(text: str) -> None:
    table_or_refusal(text.encode("utf-8", "surrogatepass"))


@given(st.lists(st.sampled_from(KEYWORDS), max_size=60))
def test_any_order_of_keywords(words: list[str]) -> None:
    table_or_refusal(" ".join(words).encode())
    table_or_refusal("\n".join(words).encode())


FIELDS = (
    *("SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", "CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K"),
    *("LAB_L", "LAB_A", "LAB_B", "XYZ_X", "XYZ_Y", "XYZ_Z", "SPECTRAL_NM", "SPECTRAL_PCT", "SPECTRAL_DEC"),
    *("NM400", "NM450", "NM500", "NM550", "NM600", "NM650", "NM700", "NM999", "R_420"),
)
CELLS = (
    "0",
    "1",
    "50",
    "100",
    "255",
    "400",
    "0,5",
    "-0.1",
    "1e9",
    "1e-300",
    "x",
    "nan",
    "999999999999999999999",
)


@given(st.data(), st.lists(st.sampled_from(FIELDS), min_size=1, max_size=14))
def test_any_choice_of_columns_and_cells(data: st.DataObject, fields: list[str]) -> None:
    row = st.lists(st.sampled_from(CELLS), min_size=len(fields), max_size=len(fields))
    rows = data.draw(st.lists(row, min_size=1, max_size=4))
    table = "\n".join(" ".join(cells) for cells in rows)
    table_or_refusal(
        f"X\nBEGIN_DATA_FORMAT\n{' '.join(fields)}\nEND_DATA_FORMAT\nBEGIN_DATA\n{table}\nEND_DATA".encode()
    )


@given(
    st.sampled_from([("LAB_L", "LAB_A", "LAB_B"), ("XYZ_X", "XYZ_Y", "XYZ_Z")]),
    st.lists(st.tuples(*[st.floats()] * 3), min_size=1),
)
def test_any_numbers(fields: tuple[str, ...], rows: list[tuple[float, ...]]) -> None:
    table = "\n".join(" ".join(map(repr, row)) for row in rows)
    table_or_refusal(
        f"X\nBEGIN_DATA_FORMAT\n{' '.join(fields)}\nEND_DATA_FORMAT\nBEGIN_DATA\n{table}\nEND_DATA".encode()
    )


@given(st.lists(st.sampled_from(TAGS), max_size=40))
def test_any_order_of_tags(tags: list[str]) -> None:
    table_or_refusal(("<CxF>" + "".join(tags)).encode())
    table_or_refusal(("<CxF>" + "".join(tags) + "</CxF>").encode())


@given(
    st.data(), st.sampled_from([write_cgats(Dialect()), write_cgats(Dialect(colour="spectral")), write_cxf()])
)
def test_a_good_file_with_some_bytes_struck_over(data: st.DataObject, good: bytes) -> None:
    struck = bytearray(good)
    for at in data.draw(st.lists(st.integers(0, len(good) - 1), max_size=4)):
        struck[at] = data.draw(st.integers(0, 255))
    table_or_refusal(bytes(struck))


@given(st.floats(-1e6, 1e6), st.booleans(), st.sampled_from([".3f", ".6e", "g", ".0f"]))
def test_a_number_is_read_back_with_point_or_comma(value: float, comma: bool, form: str) -> None:
    written = format(value, form)
    read = number_of(written.replace(".", ",") if comma else written)
    assert read == float(written)


@given(
    st.lists(
        st.text(
            st.characters(codec="utf-8", exclude_characters='"#', exclude_categories=("C", "Z")), min_size=1
        )
    )
)
def test_words_come_back_as_they_were_written(words: list[str]) -> None:
    assert words_of(" ".join(words)) == words
    assert words_of("\t".join(f'"{word} {word}"' for word in words) + " # gone") == [
        f"{w} {w}" for w in words
    ]
