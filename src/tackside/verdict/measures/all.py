"""All measures of one reading, by name; the names are those of the command's JSON."""

from __future__ import annotations

from tackside.records.reading import Reading
from tackside.records.verdict import Measure
from tackside.verdict.measures.gamut import solid_chromas, volumes
from tackside.verdict.measures.patch_table import PatchTable
from tackside.verdict.measures.tone import extremes, grey_balance, steps


def measure(table: PatchTable, reading: Reading | None = None) -> dict[str, Measure]:
    """Measures of a reading's patches, and of its placement where it has one.

    A measure whose patches were not read is left out, never guessed.
    """
    measures = extremes(table) | volumes(table) | solid_chromas(table) | grey_balance(table) | steps(table)
    return measures if reading is None else measures | _size(reading) | _line_gain(reading)


def number(measures: dict[str, Measure], name: str) -> float | None:
    """The value of a measure that is a single figure, or None where it was not measured."""
    found = measures.get(name)
    return None if found is None or isinstance(found.value, tuple) else found.value


def spread(measures: dict[str, Measure], name: str) -> float:
    """One standard uncertainty of a measure, 0 where it has none."""
    found = measures.get(name)
    return 0.0 if found is None or found.sd is None else found.sd


def _size(reading: Reading) -> dict[str, Measure]:
    """The larger of the two deviations from true size, in per cent."""
    place = reading.placement
    if place is None:
        return {}
    off_x, off_y = (100 * (scale - 1) for scale in (place.scale_x, place.scale_y))
    worst = max(off_x, off_y, key=abs)
    # Marks located to their residual over a sheet of at least 90 mm, the smallest there is.
    sd = 100 * (place.residual_um / 1000) / 90
    return {
        "size_error": Measure(value=worst, unit="%", sd=sd, method="marks of the sheet, worse of x and y")
    }


def _line_gain(reading: Reading) -> dict[str, Measure]:
    """By how much black lines grew, in µm, the mean of both directions where both were judged."""
    gains = [gain for name, gain in reading.attributes.items() if name.startswith("line_gain")]
    if not gains:
        return {}
    # Lines of several widths and directions differ among themselves more than the scanner errs.
    sd = max((gain.sd or 0.0) for gain in gains) / len(gains) ** 0.5
    value = sum(gain.value for gain in gains) / len(gains)
    return {
        "line_gain": Measure(value=value, unit="µm", sd=sd, method="black lines of the sheet, edges at R60")
    }
