"""Fit and its parts: plain frozen records, the answer to "what can this printer do with this card?"."""

from __future__ import annotations

from typing import Literal

from tackside.bench.records import Crease, Margins, Record
from tackside.bench.records.sheet_plan import Side
from tackside.bench.records.stock import SizeMm
from tackside.units import Box

TurnDeg = Literal[0, 90, 180, 270]
Fold = Literal["left", "top"]


class Panel(Record):
    """A part of the open sheet between crease and edge, in sheet coordinates (mm).

    ``trim`` is the whole panel; ``printable`` is the part of it that the printer reaches (no area where it
    reaches none). ``turn_deg`` is the clockwise turn that makes contents stand upright on the folded card.
    """

    name: str
    trim: Box
    printable: Box
    turn_deg: TurnDeg = 0

    @property
    def is_reached(self) -> bool:
        """Whether the printer reaches any of it."""
        return self.printable.w > 0 and self.printable.h > 0


class Envelope(Record):
    """An envelope that takes the folded card.

    ``size_mm`` is [width, height] with the long side first, as envelopes are sold; ``clearance_mm`` is what
    is left along the card's long and short side once the card and its thickness are in.
    """

    name: str
    family: str
    size_mm: tuple[float, float]
    clearance_mm: tuple[float, float]
    remark: str = ""


class Fit(Record):
    """What a printer can do with a stock, seen on the face that is printed.

    ``feed`` is None where no feed takes the card; ``warnings`` then say why, and margins and panels are
    those of a safe default. ``size_mm`` is the open sheet as fed. ``margins_mm`` are zero where
    ``borderless``; ``margins_assumed`` says that the printer record has none. ``enlargement_mm`` is what the
    borderless mode adds to each edge, None where unknown or not borderless. ``thickness_mm`` is that of the
    folded card. ``custom_size`` is the page size to type into the driver, None where a size of the driver's
    own will do.
    """

    stock: str
    printer: str
    feed: str | None
    side: Side
    size_mm: SizeMm
    size_name: str | None
    borderless: bool
    enlargement_mm: float | None
    margins_mm: Margins
    margins_assumed: bool
    panels: tuple[Panel, ...]
    creases: tuple[Crease, ...]
    folded_size_mm: SizeMm
    folded_size_name: str | None
    thickness_mm: float | None
    custom_size: str | None
    envelopes: tuple[Envelope, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def envelope(self) -> Envelope | None:
        """The first choice, or None where no standard envelope takes the card."""
        return self.envelopes[0] if self.envelopes else None
