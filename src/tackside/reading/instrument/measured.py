"""MeasuredSet: what any instrument file comes down to, and the checks that all of them share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spectral import spectra_to_lab
from tackside.errors import BadInstrumentFile
from tackside.messages.message import Message
from tackside.records.reading import MeasurementCondition

Floats = NDArray[np.float64]


class FileLine(NamedTuple):
    """A line of a file; the first is 1."""

    file: str
    line: int


# Where row i stands in its file.
LineOf = Callable[[int], FileLine]

# A fluorescent brightener under a UV-rich lamp lifts white card a little past the perfect diffuser.
HIGHEST_LIGHTNESS = 110.0
HIGHEST_REFLECTANCE = 3.0
HIGHEST_Y = 1.3
MOST_ROWS = 200_000


@dataclass(frozen=True)
class MeasuredSet:
    """Rows of one file, in file order.

    ``names``: one tuple of names a row (sample name, sample id, …), best first, maybe empty.
    ``rgb`` (n, 3) and ``cmyk`` (n, 4) are device numbers from 0 to 1, or None. ``lab`` (n, 3) CIELAB D50 2°.
    """

    names: tuple[tuple[str, ...], ...]
    rgb: Floats | None
    cmyk: Floats | None
    lab: Floats
    condition: MeasurementCondition | None = None
    device: str | None = None
    notices: tuple[Message, ...] = ()


def device_to_unit(values: Floats, colours: str, place: LineOf) -> tuple[Floats, float]:
    """Device numbers (n, k) scaled to 0 to 1, and the top of the range they came in: 1, 100 or 255.

    The range is inferred from the largest number: no chart is without a full-strength patch.
    """
    top = float(values.max())
    scale = next((limit for limit in (1.0, 100.0, 255.0) if top <= limit + 1e-9), None)
    if scale is None:
        worst = int(np.argmax(values.max(axis=1)))
        raise BadInstrumentFile("instrument.beyond-255", **place(worst)._asdict(), colours=colours, value=top)
    return unit_interval(values / scale, colours, place), scale


def unit_interval(values: Floats, colours: str, place: LineOf) -> Floats:
    """Scaled device numbers (n, k), once all of them are from 0 to 1."""
    off = np.maximum(values - 1, -values).max(axis=1)
    if off.max() > 1e-9:
        row = int(np.argmax(off))
        code = "instrument.negative" if values[row].min() < 0 else "instrument.beyond-range"
        raise BadInstrumentFile(code, **place(row)._asdict(), colours=colours)
    return np.clip(values, 0.0, 1.0)


def checked_lab(lab: Floats, place: LineOf) -> Floats:
    """``lab`` as it came, once no row is beyond what a surface can be."""
    lightness = lab[:, 0]
    bad = (lightness < -0.5) | (lightness > HIGHEST_LIGHTNESS) | (np.abs(lab[:, 1:]).max(axis=1) > 200)
    if bad.any():
        row = int(np.argmax(bad))
        lightness, a, b = lab[row].tolist()
        raise BadInstrumentFile(
            "instrument.lab-not-of-a-print", **place(row)._asdict(), lightness=lightness, a=a, b=b
        )
    return np.column_stack([np.maximum(lightness, 0.0), lab[:, 1:]])


def xyz_to_unit(xyz: Floats, place: LineOf) -> Floats:
    """XYZ scaled to Y = 1 for the perfect diffuser, from a scale of 100 or 1, told by the largest number."""
    unit = xyz / 100.0 if float(xyz.max()) > 2.0 else xyz
    bad = (unit < -0.005).any(axis=1) | (unit[:, 1] > HIGHEST_Y) | (unit.max(axis=1) > 2 * HIGHEST_Y)
    if bad.any():
        row = int(np.argmax(bad))
        x, y, z = xyz[row].tolist()
        raise BadInstrumentFile("instrument.xyz-not-of-a-print", **place(row)._asdict(), x=x, y=y, z=z)
    return np.maximum(unit, 0.0)


def spectra_to_unit(spectra: Floats, place: LineOf, *, percent: bool | None = None) -> Floats:
    """Reflectance factors (n, bands) scaled to 0 to 1, from fractions or per cent.

    ``percent`` None: told by the largest number, since no reflectance factor of a print passes 3.
    """
    if percent is None:
        percent = float(spectra.max()) > HIGHEST_REFLECTANCE
    unit = spectra / 100.0 if percent else spectra
    bad = (unit.max(axis=1) > HIGHEST_REFLECTANCE) | (unit.min(axis=1) < -0.02)
    if bad.any():
        row = int(np.argmax(bad))
        worst = float(spectra[row][np.argmax(np.abs(spectra[row]))])
        raise BadInstrumentFile("instrument.reflectance-impossible", **place(row)._asdict(), value=worst)
    return np.maximum(unit, 0.0)


def spectral_lab(spectra: Floats, wavelengths: Floats, name: str, place: LineOf) -> Floats:
    """CIELAB D50 2° of reflectance factors (n, bands), or BadInstrumentFile that names the file."""
    try:
        lab = spectra_to_lab(spectra, wavelengths)
    except BadInstrumentFile as error:
        raise BadInstrumentFile("instrument.spectra-do-not-serve", file=name, why=error.message) from error
    return checked_lab(lab, place)
