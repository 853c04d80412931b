"""The envelopes that are known: those of the file that is shipped, each with its source and the day it was noted."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import Annotated, ClassVar, Self

from pydantic import Field, model_validator

from tackside.files.record_faults import Inconsistent
from tackside.files.toml_records import load_record
from tackside.fit.sizes.format_tables import Family, Format
from tackside.records import Record
from tackside.records.stock import Name, SizeMm
from tackside.units import MM_PER_INCH

_SHIPPED = Path(__file__).parent / "data" / "envelopes.toml"
Inches = Annotated[float, Field(gt=0, le=40)]


class EnvelopeSize(Record):
    """An envelope by its name, [long edge, short edge] in mm or in inches; inside, where that is known.

    ``family`` is whose cards it is made for. ``noted`` is when the entry was written down, ``source`` from what.
    """

    name: Name
    family: Family = "metric"
    size_mm: SizeMm | None = None
    size_in: tuple[Inches, Inches] | None = None
    noted: date
    source: Annotated[str, Field(min_length=1, max_length=500)]

    @model_validator(mode="after")
    def _has_one_size(self) -> Self:
        if (self.size_mm is None) == (self.size_in is None):
            raise Inconsistent("record.envelope-of-one-size", at=("size_mm",), name=self.name)
        return self

    @property
    def format(self) -> Format:
        edges = self.size_mm or tuple(edge * MM_PER_INCH for edge in self.size_in or ())
        short, long = sorted(edges)
        return Format(self.name, self.family, "envelope", short, long, self.source)


class EnvelopeSizes(Record):
    """A file of envelopes."""

    KIND: ClassVar[str] = "envelope-sizes"

    envelopes: tuple[EnvelopeSize, ...]


@cache
def shipped_envelopes() -> tuple[EnvelopeSize, ...]:
    """The envelopes that come with Tackside."""
    return load_record(_SHIPPED, EnvelopeSizes).envelopes
