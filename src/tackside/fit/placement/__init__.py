"""Where prints fall on the sheet, from trials, and what output needs to fall where it is wanted."""

from tackside.fit.placement.correction import IDENTITY, Correction
from tackside.fit.placement.measured import UNMEASURED, MeasuredPlacement, Way, correction_from, measure
from tackside.fit.placement.on_bench import measured_for, ways_measured

__all__ = [
    "IDENTITY",
    "UNMEASURED",
    "Correction",
    "MeasuredPlacement",
    "Way",
    "correction_from",
    "measure",
    "measured_for",
    "ways_measured",
]
