"""Fit and its parts: plain frozen records, the answer to "what can this printer do with this card?"."""

from __future__ import annotations

from datetime import date
from typing import Literal

from tackside.messages.message import Message
from tackside.records import Crease, Margins, Record
from tackside.records.sheet_plan import Side
from tackside.records.stock import SizeMm
from tackside.units import Box

TurnDeg = Literal[0, 90, 180, 270]
Fold = Literal["left", "top"]
# The ways to fold a card; ``other`` is any richer pattern of creases.
FoldName = Literal["flat", "side", "top", "gate", "accordion", "roll", "quarter", "other"]


def called(panel: str) -> Message:
    """What a panel is called in words, from its name: ``inside-left``, ``flap-2``."""
    stem, _, number = panel.rpartition("-")
    if number.isdigit():
        return Message(f"panel.{'numbered' if stem == 'panel' else f'{stem}-numbered'}", number=int(number))
    return Message(f"panel.{panel}")


class Panel(Record):
    """A part of the open sheet between crease and edge, in sheet coordinates (mm).

    ``trim`` is the whole panel; ``printable`` is the part of it that the printer reaches (no area where it
    reaches none). ``turn_deg`` is the clockwise turn that makes contents stand upright on the folded card;
    ``behind`` is the panel in the same place on the sheet's other face.
    """

    name: str
    trim: Box
    printable: Box
    turn_deg: TurnDeg = 0
    behind: str | None = None

    @property
    def is_upside_down(self) -> bool:
        """Whether contents that stand upright on the card are upside down on the open sheet."""
        return self.turn_deg == 180

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
    remark: Message | None = None


class PanelMargins(Record):
    """What the printer leaves bare on a panel, in mm from each edge of it as the reader sees it, upright.

    ``equal_border_mm`` is the narrowest border that is alike on all four edges, the crease being one of them.
    """

    panel: str
    top: float
    right: float
    bottom: float
    left: float
    equal_border_mm: float


class BorderlessWay(Record):
    """One change that would let the card be printed to the edge: ``size_mm`` is what is then fed."""

    kind: Literal["turn", "other-feed", "other-size", "trim"]
    feed: str
    size_mm: tuple[float, float]
    sentence: Message


class Insert(Record):
    """A sheet that sits inside the card: its open size, its crease if it has one, and its size once folded."""

    size_mm: SizeMm
    folded_mm: SizeMm
    crease: Crease | None


class InsideAdvice(Record):
    """Whether the outside is coated, and what the inside takes: a ``print``, ``text`` only, or nobody knows yet."""

    outside_is_coated: bool | None
    inside_takes: Literal["print", "text", "unknown"]
    sentence: Message


class Mailed(Record):
    """The folded card in its envelope, [long edge, short edge]; None where the card's own figure is unknown."""

    envelope: str
    size_mm: tuple[float, float]
    mass_g: float | None
    thickness_mm: float | None


class PostCheck(Record):
    """One kind of letter: whether the card goes as it and why not, whether it costs more, which limits could not be
    checked, and how old the knowledge is."""

    country: str
    service: str
    goes: bool
    reasons: tuple[Message, ...]
    surcharge: Message | None
    unchecked: tuple[Literal["mass", "thickness"], ...]
    noted: date
    source: str


class Fit(Record):
    """What a printer can do with a stock, seen on the face that is printed.

    ``feed`` is None where no feed takes the card; ``warnings`` then says why, and margins and panels are
    those of a safe default. ``size_mm`` is the open sheet as fed. ``margins_mm`` are zero where
    ``borderless``; ``margins_assumed`` says that the printer record has none. ``enlargement_mm`` is what the
    borderless mode adds to each edge, None where unknown or not borderless. ``custom_size`` is the page size to type
    into the driver, None where a size of the driver's own will do.
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
    custom_size: str | None
    warnings: tuple[Message, ...]


class FullFit(Fit):
    """A fit with all that its reader may ask of the card: the fold, the inside, the envelope and the post.

    ``thickness_mm`` is that of the folded card and ``mass_g`` its mass. ``folded_margins`` are those of each panel that
    the printer reaches, held upright. ``borderless_ways`` say what would have to change to print to the edge.
    ``mailed`` and ``post`` are there where the limits of the post were given.
    """

    folded_size_mm: SizeMm
    folded_size_name: str | None
    thickness_mm: float | None
    fold: FoldName
    way_round: Message
    folded_margins: tuple[PanelMargins, ...]
    borderless_ways: tuple[BorderlessWay, ...]
    inside: InsideAdvice
    insert: Insert | None
    mass_g: float | None
    mailed: Mailed | None = None
    post: tuple[PostCheck, ...] = ()
    envelopes: tuple[Envelope, ...]
    notes: tuple[Message, ...]

    @property
    def envelope(self) -> Envelope | None:
        """The first choice, or None where no standard envelope takes the card."""
        return self.envelopes[0] if self.envelopes else None
