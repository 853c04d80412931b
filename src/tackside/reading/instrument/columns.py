"""What the columns of a CGATS table mean: names, device numbers, and colour by Lab, XYZ or spectra."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

import numpy as np

from tackside.colour.difference import delta_e_76
from tackside.colour.spaces import xyz_to_lab
from tackside.errors import BadInstrumentFile
from tackside.messages.message import Message
from tackside.reading.instrument.cgats import CgatsTable
from tackside.reading.instrument.conditions import condition_of, foreign_basis
from tackside.reading.instrument.measured import (
    FileLine,
    Floats,
    MeasuredSet,
    checked_lab,
    device_to_unit,
    spectra_to_unit,
    spectral_lab,
    xyz_to_unit,
)

# SAMPLE_ID and STRING are CGATS.17's; other programs write NAME or a location of a SAMPLE or PATCH, in one word or two.
NAME_FIELDS = tuple(
    re.compile(pattern)
    for pattern in (r"(SAMPLE|PATCH)_?NAME", r"(SAMPLE|PATCH)_?ID", r"STRING", r"(SAMPLE|PATCH)_?LOC(ATION)?")
)
RGB = ("RGB_R", "RGB_G", "RGB_B")
CMYK = ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K")
LAB = ("LAB_L", "LAB_A", "LAB_B")
XYZ = ("XYZ_X", "XYZ_Y", "XYZ_Z")
# A wavelength alone, or after one of these words or any abbreviation of it, and CGATS.17's NM, PCT or DEC:
# SPECTRAL_NM400, NM_400, SPECTR_400, R400NM, 400NM, REFLECTANCE_400 …
_BAND_WORDS = ("SPECTRAL", "SPECTRUM", "REFLECTANCE")
_BEFORE = "|".join(sorted({word[:n] for word in _BAND_WORDS for n in range(1, len(word) + 1)}, key=len)[::-1])
_BAND = re.compile(rf"^(?:(?:{_BEFORE})_?)?(NM|PCT|DEC)?_?(\d{{3}})(?:\.0+)?_?(?:NM)?$")
_NUMBER = re.compile(r"^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?$")
# Colours that are given twice, as Lab and as XYZ, and differ by more than rounding and one visible step.
_DISAGREE = 2.0


def number_of(word: str) -> float | None:
    """A finite number with a decimal point or comma, or None."""
    if not _NUMBER.match(word) or not word.isascii():
        return None
    value = float(word.replace(",", "."))
    return value if math.isfinite(value) else None


def measurement_table(tables: Iterable[CgatsTable], name: str) -> CgatsTable:
    """The table that holds colours: with device numbers if one has them, and the longest of those."""
    tables = tuple(tables)
    coloured = [table for table in tables if _has_colour(table)]
    if coloured:
        return max(coloured, key=lambda table: (_has(table, RGB) or _has(table, CMYK), len(table.rows)))
    if not tables:
        raise BadInstrumentFile("instrument.no-table", file=name)
    partial = [f for table in tables for f in table.fields if f.upper() in LAB + XYZ]
    if partial:
        raise BadInstrumentFile("instrument.only-some-colour-columns", file=name, columns=tuple(partial))
    raise BadInstrumentFile("instrument.no-colour-columns", file=name)


def measured_from_table(table: CgatsTable, name: str) -> MeasuredSet:
    """The rows of one table as a MeasuredSet."""
    table = named_bands(table, name)
    _check_duplicates(table, name)
    notices: list[Message] = []

    def place(row: int) -> FileLine:
        return FileLine(name, table.rows[row].line)

    rgb = cmyk = None
    if _has(table, RGB):
        rgb, top = device_to_unit(_numbers(table, RGB, name), "RGB", place)
        notices.append(Message("instrument.range-inferred", colours="RGB", top=top))
    if _has(table, CMYK):
        cmyk, top = device_to_unit(_numbers(table, CMYK, name), "CMYK", place)
        if top != 100.0:
            notices.append(Message("instrument.range-inferred", colours="CMYK", top=top))
    for device in (RGB, CMYK):
        some = [column for column in device if column in _upper(table)]
        if some and not _has(table, device):
            missing = [column for column in device if column not in some]
            raise BadInstrumentFile(
                "instrument.columns-missing", file=name, columns=missing, count=len(missing)
            )
    lab, colour_notices = _lab_of(table, name)
    named = [
        at for field in NAME_FIELDS for at, column in enumerate(_upper(table)) if field.fullmatch(column)
    ]
    return MeasuredSet(
        names=tuple(tuple(row.words[i] for i in named) for row in table.rows),
        rgb=rgb,
        cmyk=cmyk,
        lab=lab,
        condition=condition_of(table.keywords),
        device=table.keywords.get("INSTRUMENTATION"),
        notices=(*notices, *colour_notices),
    )


def named_bands(table: CgatsTable, name: str) -> CgatsTable:
    """The table with CGATS.17's pairs of columns SPECTRAL_NM and SPECTRAL_PCT (or _DEC) as named bands.

    In that form each row states its wavelengths; here they must be the same in all rows. Other tables pass as
    they are.
    """
    upper = _upper(table)
    pairs = [
        at
        for at in range(len(upper) - 1)
        if upper[at] == "SPECTRAL_NM" and upper[at + 1] in ("SPECTRAL_PCT", "SPECTRAL_DEC")
    ]
    if not pairs:
        return table
    fields = list(table.fields)
    first = table.rows[0].words
    for at in pairs:
        odd = next((row for row in table.rows if row.words[at] != first[at]), None)
        wavelength = number_of(first[at])
        if odd is not None or wavelength is None or not 100 <= wavelength < 1000:
            line = (odd or table.rows[0]).line
            raise BadInstrumentFile("instrument.wavelength-varies", file=name, line=line)
        fields[at], fields[at + 1] = f"NM_OF_{at}", f"{upper[at + 1]}_{wavelength:.0f}"
    return CgatsTable(table.keywords, tuple(fields), table.rows)


def _lab_of(table: CgatsTable, name: str) -> tuple[Floats, list[Message]]:
    def place(row: int) -> FileLine:
        return FileLine(name, table.rows[row].line)

    foreign = foreign_basis(table.keywords)
    bands = _bands(table)
    if bands:
        wavelengths = np.array(sorted(bands), dtype=float)
        columns = [bands[wavelength][0] for wavelength in sorted(bands)]
        percent = True if all(kind == "PCT" for _, kind in bands.values()) else None
        spectra = spectra_to_unit(_numbers(table, columns, name), place, percent=percent)
        lab = spectral_lab(spectra, wavelengths, name, place)
        return lab, [Message("instrument.computed-again", foreign=foreign)] if foreign else []
    if foreign:
        raise BadInstrumentFile("instrument.foreign-light", file=name, foreign=foreign)
    if not _has(table, LAB) and not _has(table, XYZ):
        raise BadInstrumentFile("instrument.few-bands", file=name)
    if not _has(table, LAB):
        return checked_lab(xyz_to_lab(xyz_to_unit(_numbers(table, XYZ, name), place)), place), []
    lab = checked_lab(_numbers(table, LAB, name), place)
    if not _has(table, XYZ):
        return lab, []
    other = xyz_to_lab(xyz_to_unit(_numbers(table, XYZ, name), place))
    gap = float(np.median(delta_e_76(lab, other)))
    return lab, [Message("instrument.lab-and-xyz-differ", de=gap)] if gap > _DISAGREE else []


def _upper(table: CgatsTable) -> list[str]:
    return [name.upper() for name in table.fields]


def _has(table: CgatsTable, columns: Iterable[str]) -> bool:
    upper = set(_upper(table))
    return all(column in upper for column in columns)


def _has_colour(table: CgatsTable) -> bool:
    return _has(table, LAB) or _has(table, XYZ) or bool(_bands(table)) or "SPECTRAL_NM" in _upper(table)


def _bands(table: CgatsTable) -> dict[int, tuple[str, str | None]]:
    """Wavelength in nm → (column, unit that its name tells); empty where there are under three bands."""
    bands: dict[int, tuple[str, str | None]] = {}
    for column in _upper(table):
        match = _BAND.match(column)
        if match and 300 <= int(match.group(2)) <= 999:
            bands[int(match.group(2))] = (column, match.group(1))
    return bands if len(bands) >= 3 else {}


def _check_duplicates(table: CgatsTable, name: str) -> None:
    upper = _upper(table)
    twice = sorted({column for column in upper if upper.count(column) > 1})
    if twice:
        raise BadInstrumentFile("instrument.column-twice", file=name, column=twice[0])


def _numbers(table: CgatsTable, columns: Iterable[str], name: str) -> Floats:
    """The named columns as (rows, columns) finite numbers."""
    upper = _upper(table)
    indices = [upper.index(column) for column in columns]
    values = np.empty((len(table.rows), len(indices)))
    for i, row in enumerate(table.rows):
        for j, index in enumerate(indices):
            value = number_of(row.words[index])
            if value is None:
                raise BadInstrumentFile(
                    "instrument.no-number",
                    file=name,
                    line=row.line,
                    word=row.words[index][:40],
                    column=table.fields[index][:40],
                )
            values[i, j] = value
    return values
