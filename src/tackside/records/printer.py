"""Printer: one machine, its inks, feeds and limits, as its maker states them."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from tackside.files.record_faults import Inconsistent
from tackside.records.base import Record
from tackside.records.stock import Name, SizeMm

Millimetres = Annotated[float, Field(ge=0, le=100)]


class Inks(Record):
    """The kind of ink and how many of them."""

    kind: Literal["dye", "pigment", "mixed", "unknown"] = "unknown"
    count: Annotated[int, Field(gt=0, le=16)] | None = None


class Margins(Record):
    """What the printer cannot reach, from each edge of the sheet as fed, in mm."""

    top: Millimetres = 0.0
    bottom: Millimetres = 0.0
    left: Millimetres = 0.0
    right: Millimetres = 0.0


class Feed(Record):
    """One way into the printer, with its limits. Sizes are [width, height] as fed, in mm."""

    name: Name
    min_size_mm: SizeMm
    max_size_mm: SizeMm
    max_caliper_mm: Annotated[float, Field(gt=0, le=10)] | None = None
    max_weight_gsm: Annotated[float, Field(gt=0, le=2000)] | None = None
    margins_mm: Margins | None = None
    borderless_sizes_mm: tuple[SizeMm, ...] = ()
    borderless_enlargement_mm: Annotated[float, Field(ge=0, le=10)] | None = None

    @model_validator(mode="after")
    def _largest_is_not_below_smallest(self) -> Self:
        codes = ("record.widest-below-narrowest", "record.longest-below-shortest")
        for axis, (least, most) in enumerate(zip(self.min_size_mm, self.max_size_mm, strict=True)):
            if most < least:
                raise Inconsistent(codes[axis], at=("max_size_mm", axis), most_mm=most, least_mm=least)
        return self


class Printer(Record):
    """One printer. Borderless fields may stand at the top, for all feeds that have none of their own."""

    KIND: ClassVar[str] = "printer"

    name: Name
    inks: Inks = Inks()
    grid_ppi: Annotated[float, Field(ge=72, le=4800)] = 600.0
    feeds: Annotated[tuple[Feed, ...], Field(min_length=1)]
    media_settings: tuple[Name, ...] = ()
    notes: Annotated[str, StringConstraints(max_length=10_000)] = ""

    @model_validator(mode="before")
    @classmethod
    def _share_borderless_fields(cls, given: Any) -> Any:
        shared = ("borderless_sizes_mm", "borderless_enlargement_mm")
        if not isinstance(given, dict) or not any(field in given for field in shared):
            return given
        rest = {key: value for key, value in given.items() if key not in shared}
        common = {key: given[key] for key in shared if key in given}
        feeds = given.get("feeds")
        if isinstance(feeds, (list, tuple)):
            rest["feeds"] = [{**common, **feed} if isinstance(feed, dict) else feed for feed in feeds]
        return rest

    @model_validator(mode="after")
    def _feed_names_differ(self) -> Self:
        names: set[str] = set()
        for number, feed in enumerate(self.feeds):
            if feed.name in names:
                raise Inconsistent("record.feeds-alike", at=("feeds", number, "name"), name=feed.name)
            names.add(feed.name)
        return self
