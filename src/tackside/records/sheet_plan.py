"""SheetPlan: what a test sheet holds and where, so that a scan can be read back against it.

All boxes are in mm in sheet coordinates (origin top left of the printed face as fed, y downwards).
"""

from __future__ import annotations

from typing import Literal

from tackside.messages.message import Message
from tackside.records.base import Record
from tackside.records.stock import Crease, SizeMm
from tackside.units import Box

Rgb = tuple[float, float, float]
Space = Literal["srgb", "adobe-rgb"]
Purpose = Literal["path", "device"]
Side = Literal["front", "back"]


class Patch(Record):
    """A flat area of one colour. ``rgb`` is 0 to 1, the very numbers in the file (after rounding to 8 bits).

    ``roles`` says what the patch serves: ``white``, ``black``, ``grey``, ``shadow``, ``highlight``,
    ``solid-c`` … ``solid-k``, ``ramp-c`` … ``ramp-k``, ``cube``; on the sheet for a profile also ``near-grey``,
    ``surface``, ``inside``, ``skin``, ``sky``, ``foliage``. A colour that serves twice is printed once, but for a
    ``repeat``: the same numbers under another name, to tell how well the print repeats. ``page`` counts from 1.
    """

    name: str
    rgb: Rgb
    box_mm: Box
    roles: tuple[str, ...]
    panel: str
    page: int = 1


class Mark(Record):
    """A square fiducial of the OpenCV dictionary 4X4_50, upright on the sheet; ``id`` is unique on the sheet.

    ``box_mm`` is the black square (6 × 6 modules) without its white quiet zone. On a sheet of several pages no two
    marks share an id, so that they tell the page.
    """

    id: int
    box_mm: Box
    panel: str
    page: int = 1


class Tag(Record):
    """A QR code that holds ``text``; ``box_mm`` is the symbol without its quiet zone."""

    text: str
    box_mm: Box
    panel: str
    page: int = 1


class Target(Record):
    """A line, an edge or a text line to be judged; kinds that want more say it in ``width_mm`` or ``size_pt``.

    ``line``: a straight line ``width_mm`` wide that runs the length of ``box_mm`` along ``direction``;
    ``edge``: a slanted edge ``angle_deg`` off ``direction``; ``text``: a sample ``size_pt`` high;
    ``bleed``: a line like it, half of its length on ``ground``, half on bare card; ``smudge``, ``scene``,
    ``ruler``: areas.
    """

    kind: Literal["line", "edge", "text", "bleed", "smudge", "scene", "ruler"]
    name: str
    box_mm: Box
    panel: str
    ink: Rgb = (0.0, 0.0, 0.0)
    ground: Rgb = (1.0, 1.0, 1.0)
    direction: Literal["horizontal", "vertical"] | None = None
    width_mm: float | None = None
    size_pt: float | None = None
    angle_deg: float | None = None
    page: int = 1


class Caption(Record):
    """A line of small type that belongs to the sheet's look, not to what is measured.

    ``x_mm`` and ``y_mm`` place the baseline's start, middle or end, as ``align`` says; ``grey`` is 0 (black) to 1.
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    face: Literal["sans", "sans-bold", "sans-italic", "serif", "serif-italic"] = "sans"
    align: Literal["left", "centre", "right"] = "left"
    grey: float = 0.0
    spacing_em: float = 0.0
    page: int = 1


class Bar(Record):
    """A flat neutral area of the sheet's look: a hairline, a frame. ``grey`` is 0 (black) to 1."""

    box_mm: Box
    grey: float = 0.6
    page: int = 1


class SheetPanel(Record):
    """A panel of the printed face: its trim and the part that the printer reaches."""

    name: str
    trim: Box
    printable: Box


class SheetPlan(Record):
    """One test sheet. ``size_px`` = size_mm × ppi ÷ 25.4, rounded; ``space`` None means bare device numbers.

    A sheet for a profile may take several ``pages``: as many sheets of the stock, printed one after the other, all of
    the same panels. Everything on it says its page; ``on_page`` gives a single one.
    """

    version: int
    size_mm: SizeMm
    ppi: float
    size_px: tuple[int, int]
    space: Space | None
    purpose: Purpose
    side: Side
    borderless: bool
    panels: tuple[SheetPanel, ...]
    creases: tuple[Crease, ...]
    patches: tuple[Patch, ...]
    marks: tuple[Mark, ...]
    tags: tuple[Tag, ...]
    targets: tuple[Target, ...]
    captions: tuple[Caption, ...] = ()
    bars: tuple[Bar, ...] = ()
    notices: tuple[Message, ...] = ()
    pages: int = 1

    def on_page(self, page: int) -> SheetPlan:
        """The plan of one page alone, 1 to ``pages``; what it holds still says its page."""
        if self.pages == 1:
            return self
        kept = {
            name: tuple(each for each in getattr(self, name) if each.page == page)
            for name in ("patches", "marks", "tags", "targets", "captions", "bars")
        }
        return self.model_copy(update={**kept, "pages": 1})

    @property
    def by_page(self) -> tuple[SheetPlan, ...]:
        """The plan of each page."""
        return tuple(self.on_page(page) for page in range(1, self.pages + 1))
