"""Writes the same chart in every dialect of CGATS.17 text and CxF/X-3 that the reader should understand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import lab_to_xyz

Floats = NDArray[np.float64]
WAVELENGTHS = np.arange(380, 731, 10)
# An invented chart: paper, black, greys, solids and a few mixtures.
CHART_RGB = np.array(
    [
        (1, 1, 1),
        (0, 0, 0),
        (0.2, 0.2, 0.2),
        (0.6, 0.6, 0.6),
        (0, 1, 1),
        (1, 0, 1),
        (1, 1, 0),
        (1, 0, 0),
        (0, 1, 0),
        (0, 0, 1),
        (0.2, 0.4, 0.8),
        (0.8, 0.6, 0.2),
    ],
    dtype=float,
)
CHART_LAB = np.array(
    [
        (95.1, 0.2, -2.4),
        (16.2, 0.3, -0.4),
        (27.5, 0.1, -1.0),
        (66.0, 0.2, -1.9),
        (55.4, -36.0, -48.2),
        (48.7, 72.9, -3.8),
        (88.1, -5.5, 90.3),
        (47.9, 66.0, 46.1),
        (50.5, -63.2, 27.7),
        (25.1, 20.6, -44.9),
        (44.4, 6.1, -37.5),
        (66.6, 12.3, 44.2),
    ]
)
NAMES = tuple(f"P{number}" for number in range(1, len(CHART_RGB) + 1))


@dataclass(frozen=True)
class Dialect:
    """One way of writing a chart down."""

    identifier: str | None = "CGATS.17"
    separator: str = "\t"
    line_end: str = "\n"
    encoding: str = "utf-8"
    comma: bool = False
    quoted: bool = False
    full_scale: float = 255.0
    colour: str = "lab"  # lab, xyz, xyz-unit, spectral
    band_name: str = "SPECTRAL_NM{}"
    percent: bool = False
    comments: bool = False
    other_table: bool = False
    counts: bool = True
    lower_case: bool = False


def spectra_of(lab: Floats) -> Floats:
    """Smooth invented reflectances (n, 36), one a row; only their order of size goes with ``lab``."""
    bump = (WAVELENGTHS - 380) / 350
    level = lab_to_xyz(lab)[:, 1][:, None]
    return np.clip(
        level * (0.8 + 0.4 * np.sin(2 * np.pi * (bump[None, :] + np.arange(len(lab))[:, None] / 7))), 0, 1.2
    )


def write_cgats(
    dialect: Dialect, rgb: Floats = CHART_RGB, lab: Floats = CHART_LAB, names: Sequence[str] = NAMES
) -> bytes:
    """The chart as bytes of one dialect."""
    fields, columns = ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B"], [rgb * dialect.full_scale]
    if dialect.colour == "lab":
        fields += ["LAB_L", "LAB_A", "LAB_B"]
        columns.append(lab)
    elif dialect.colour.startswith("xyz"):
        fields += ["XYZ_X", "XYZ_Y", "XYZ_Z"]
        columns.append(lab_to_xyz(lab) * (1 if dialect.colour == "xyz-unit" else 100))
    else:
        fields += [dialect.band_name.format(nm) for nm in WAVELENGTHS]
        columns.append(spectra_of(lab) * (100 if dialect.percent else 1))
    numbers = np.column_stack(columns)
    lines = [] if dialect.identifier is None else [dialect.identifier, ""]
    if dialect.comments:
        lines += ["# a comment with BEGIN_DATA in it", 'ORIGINATOR "an invented studio"  # and one behind']
    if dialect.counts:
        lines.append(f"NUMBER_OF_FIELDS{dialect.separator}{len(fields)}")
    lines += ["BEGIN_DATA_FORMAT", dialect.separator.join(fields), "END_DATA_FORMAT"]
    if dialect.counts:
        lines.append(f"NUMBER_OF_SETS {len(numbers)}")
    lines.append("BEGIN_DATA")
    for name, row in zip(names, numbers, strict=True):
        cells = [f'"{name}"' if dialect.quoted else name, *(_number(value, dialect) for value in row)]
        lines.append(dialect.separator.join(cells))
    lines += ["END_DATA", ""]
    if dialect.other_table:
        lines += ["HERON", "NUMBER_OF_FIELDS 2", "BEGIN_DATA_FORMAT", "STEP CURVE", "END_DATA_FORMAT"]
        lines += ["NUMBER_OF_SETS 2", "BEGIN_DATA", "0 0", "1 1", "END_DATA"]
    text = dialect.line_end.join(lines)
    return (text.lower() if dialect.lower_case else text).encode(dialect.encoding)


def _number(value: float, dialect: Dialect) -> str:
    text = f"{value:.6f}"
    return text.replace(".", ",") if dialect.comma else text


def write_cxf(
    *,
    prefix: str = "cc",
    colour: str = "lab",
    encoding: str = "utf-8",
    illuminant: str = "D50",
    observer: str = "2_Degree",
    start: str = "specification",
    rgb: Floats = CHART_RGB,
    lab: Floats = CHART_LAB,
    names: Sequence[str] = NAMES,
) -> bytes:
    """The chart as CxF/X-3 (element names of ISO 17972-3: docs/sources.md, S86)."""
    p = f"{prefix}:" if prefix else ""
    declared = f"xmlns:{prefix}" if prefix else "xmlns"
    lines = [
        f'<?xml version="1.0" encoding="{encoding}"?>',
        f'<{p}CxF {declared}="http://colorexchangeformat.com/CxF3-core">',
        f"<{p}Resources><{p}ObjectCollection>",
    ]
    for i, name in enumerate(names):
        lines.append(f'<{p}Object ObjectType="Target" Name={quoteattr(name)} Id="o{i}">')
        lines.append(f"<{p}ColorValues>{_cxf_colour(p, colour, start, lab, i)}</{p}ColorValues>")
        red, green, blue = (255 * rgb[i]).tolist()
        lines.append(
            f'<{p}DeviceColorValues><{p}ColorRGB ColorSpecification="d"><{p}MaxRange>255</{p}MaxRange>'
            f"<{p}R>{red}</{p}R><{p}G>{green}</{p}G><{p}B>{blue}</{p}B></{p}ColorRGB></{p}DeviceColorValues>"
        )
        lines.append(f"</{p}Object>")
    lines += [
        f"</{p}ObjectCollection><{p}ColorSpecificationCollection>",
        f'<{p}ColorSpecification Id="s1"><{p}TristimulusSpec><{p}Illuminant>{illuminant}</{p}Illuminant>'
        f"<{p}Observer>{observer}</{p}Observer></{p}TristimulusSpec>"
        f'<{p}MeasurementSpec><{p}WavelengthRange StartWL="380" Increment="10"/>'
        f"<{p}Device><{p}Model>an invented instrument</{p}Model>"
        f"<{p}DeviceIllumination>M1_Daylight</{p}DeviceIllumination></{p}Device>"
        f"</{p}MeasurementSpec></{p}ColorSpecification>",
        f"</{p}ColorSpecificationCollection></{p}Resources></{p}CxF>",
    ]
    return "\n".join(lines).encode(encoding)


def _cxf_colour(p: str, colour: str, start: str, lab: Floats, i: int) -> str:
    if colour == "lab":
        parts = "".join(
            f"<{p}{axis}>{value}</{p}{axis}>" for axis, value in zip("LAB", lab[i].tolist(), strict=True)
        )
        return f'<{p}ColorCIELab ColorSpecification="s1">{parts}</{p}ColorCIELab>'
    if colour == "xyz":
        xyz = (100 * lab_to_xyz(lab[i])).tolist()
        parts = "".join(f"<{p}{axis}>{value}</{p}{axis}>" for axis, value in zip("XYZ", xyz, strict=True))
        return f'<{p}ColorCIEXYZ ColorSpecification="s1">{parts}</{p}ColorCIEXYZ>'
    own = ' StartWL="380" Increment="10"' if start == "own" else ""
    bands = " ".join(f"{value:.6f}" for value in spectra_of(lab)[i])
    return f'<{p}ReflectanceSpectrum ColorSpecification="s1"{own}>{bands}</{p}ReflectanceSpectrum>'
