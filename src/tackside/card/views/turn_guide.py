"""The second-side guide: two pages that tell how a sheet comes to lie for its second side.

Page one has the numbers 1 to 4 in its corners, clockwise from the top left; page two an A in its own top left. The
number behind the A is the answer: 2, the sheet was turned over sideways, as cards are laid out; 4, head over foot, so
that second pages need half a turn; 1 or 3, it was not turned over at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tackside.card.file.design import CardText
from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedRule, Rgb
from tackside.card.layout.texts import PlacedText, place_text
from tackside.card.pdf.document import save_pdf
from tackside.card.pixels.conversion import OutputColour
from tackside.cautions import PRINTING, as_text
from tackside.errors import DoesNotFit
from tackside.files.atomic import atomic_path
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Panel
from tackside.fit.refusal import refused
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side
from tackside.units import Box

INK: Rgb = (0.14, 0.13, 0.11)
CORNER_MM = 26.0  # the square in which a corner's mark stands, at most
CORNER_SHARE = 4.5  # of the shorter side of what the printer reaches, on a small sheet
CLEAR_MM = 4.0  # between what the printer reaches and the marks
SMALLEST_MM = 85.0
# What the words take in full size, and the arrow above them with as much below.
WORDS_MM, ARROW_MM = (84.0, 64.0), 12.0

FIRST = (
    "1. Print this page on plain paper.\n2. Put the sheet back for its second side, as you always do.\n"
    "3. Print page two."
)
SECOND = (
    "Look at the corner with the A, then at the other side of that corner. The number there is the answer:"
)
NEITHER = (
    "If the A stands on the same side as the numbers, the sheet was not turned over: "
    "put it in with its other side up, and begin again."
)


@dataclass(frozen=True)
class Guide:
    """The guide's two faces on a sheet of ``size_mm``, fed by ``feed``."""

    faces: tuple[CardFace, CardFace]
    feed: str
    size_mm: tuple[float, float]


def guide(printer: Printer, feed: str | None, size_mm: tuple[float, float]) -> Guide:
    """Lay the guide out. Raises DoesNotFit where the feed does not take the size, NotFound for the feed."""
    sheet = Stock(name="plain paper", base="plain", open_size_mm=size_mm)
    fit = fit_stock(sheet, printer, feed=feed)
    if fit.feed is None:
        raise refused(fit)
    if min(size_mm) < SMALLEST_MM:
        raise DoesNotFit("card.guide-without-room", size_mm=size_mm, smallest_mm=SMALLEST_MM)
    ground = _ground(fit.panels[0].printable.shrunk(CLEAR_MM))
    answer = f'tackside card second-side "{printer.name}" --feed "{fit.feed}" --behind NUMBER'
    first = _face(printer, sheet, fit.feed, "front", ground, _first(ground, printer.name, fit.feed))
    second = _face(printer, sheet, fit.feed, "back", ground, _second(ground, answer))
    return Guide((first, second), fit.feed, size_mm)


def write_guide(laid: Guide, printer: Printer, out: Path) -> None:
    """Write the two pages as a PDF. Raises StorageTrouble."""
    plain = OutputColour(working_space_profile("srgb"), "srgb", "relative", True)
    with atomic_path(out) as temporary:
        save_pdf(laid.faces, printer.grid_ppi, plain, temporary)


Part = tuple[str, float, Box, bool]  # text, its size in points, its box, whether it is in the serif


@dataclass(frozen=True)
class _Ground:
    """Where things stand on what the printer reaches: the square of a corner's mark, and the words' box and scale."""

    reach: Box
    corner: float
    words: Box
    scale: float

    def line(self, y: float, height: float) -> Box:
        """A part of the words' box, by millimetres of the full size."""
        return Box(self.words.x, self.words.y + y * self.scale, self.words.w, height * self.scale)

    @property
    def mark_pt(self) -> float:
        return 44 * self.corner / CORNER_MM


def _ground(reach: Box) -> _Ground:
    """The words as large as they can be: between the marks above and below, or between those left and right."""
    wide, tall = WORDS_MM
    corner = min(CORNER_MM, min(reach.w, reach.h) / CORNER_SHARE)
    between_rows = min((reach.h - 2 * corner) / tall, reach.w / wide)
    between_columns = min(reach.h / (tall + 2 * ARROW_MM), (reach.w - 2 * corner) / wide)
    scale = min(1.0, max(between_rows, between_columns))
    inset = corner - 2 if reach.w - 2 * corner >= wide * scale else 4 * scale
    height = tall * scale
    words = Box(reach.x + inset, reach.centre[1] - height / 2, reach.w - 2 * inset, height)
    return _Ground(reach, corner, words, scale)


def _first(ground: _Ground, printer: str, feed: str) -> Iterator[Part]:
    for number, box in enumerate(_corners(ground), start=1):
        yield str(number), ground.mark_pt, box, False
    scale = ground.scale
    yield "Which way round?", 24 * scale, ground.line(0, 14), True
    yield f"{printer}, feed {feed}", 10 * scale, ground.line(14, 8), False
    yield FIRST, 10 * scale, ground.line(25, 21), False
    yield as_text(PRINTING), 9 * scale, ground.line(46, 20), False


def _second(ground: _Ground, command: str) -> Iterator[Part]:
    yield "A", ground.mark_pt, _corners(ground)[0], False
    scale = ground.scale
    yield "And the other side", 24 * scale, ground.line(0, 14), True
    yield SECOND, 10 * scale, ground.line(17, 16), False
    yield command, 8.5 * scale, ground.line(33, 12), False
    yield NEITHER, 8.5 * scale, ground.line(46, 18), False


def _face(
    printer: Printer, sheet: Stock, feed: str, side: Side, ground: _Ground, parts: Iterator[Part]
) -> CardFace:
    """A page of the guide, the contents upright as it is fed."""
    fit = fit_stock(sheet, printer, feed=feed, side=side)
    panel = fit.panels[0].model_copy(update={"turn_deg": 0})
    texts = tuple(_text(*part, panel) for part in parts)
    whole = Box(0, 0, *sheet.open_size_mm)
    return CardFace(side, fit, (panel,), (), texts, whole, whole, rules=_arrow(ground))


def _text(text: str, size_pt: float, box: Box, serif: bool, panel: Panel) -> PlacedText:
    """Set in its size, or smaller where the names in it are long. Raises DoesNotFit."""
    asked = CardText(
        panel=panel.name,
        text=text,
        size_pt=size_pt,
        face="serif" if serif else "sans",
        box_mm=tuple(box),
        place="middle",
    )
    try:
        return place_text(asked, panel, 0.0)
    except DoesNotFit:
        for share in (0.9, 0.8, 0.7, 0.6, 0.5):
            with suppress(DoesNotFit):
                return place_text(asked.model_copy(update={"size_pt": share * size_pt}), panel, 0.0)
        raise


def _corners(ground: _Ground) -> tuple[Box, Box, Box, Box]:
    """Clockwise from the top left."""
    reach, side = ground.reach, ground.corner
    right, bottom = reach.right - side, reach.bottom - side
    places = ((reach.x, reach.y), (right, reach.y), (right, bottom), (reach.x, bottom))
    one, two, three, four = (Box(x, y, side, side) for x, y in places)
    return one, two, three, four


def _arrow(ground: _Ground) -> tuple[PlacedRule, ...]:
    """It points to the top edge of its own page, in the middle above."""
    x, top = ground.reach.centre[0], ground.reach.y + 2
    foot, wing = min(top + 24, ground.words.y - 4 * ground.scale), 4.5 * ground.scale
    return (
        PlacedRule((x, foot), (x, top + 0.5), 0.6, INK),
        PlacedRule((x - wing, top + wing), (x + 0.2, top - 0.2), 0.6, INK),
        PlacedRule((x + wing, top + wing), (x - 0.2, top - 0.2), 0.6, INK),
    )
