"""Where a card's contents may stand on a face: its panels, the whole of it, the part that is cut out, the bleed; and
a panel as its reader sees it, upright, wherever it lies on the sheet and whichever way up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.errors import BadRecord
from tackside.fit.model import Fit, Panel, TurnDeg, called
from tackside.messages.place import Place
from tackside.records.sheet_plan import Side
from tackside.units import Box

# docs/sources.md, S18: what is printed past the trim, and what contents keep clear of inside it.
BLEED_MM = 3.0
SAFE_ZONE_MM = 3.0
SAME_MM = 1e-6
SLACK_MM = 0.05  # less than this is no gap that anybody sees
CUT_TO = Place("card", ("cut_to_mm",))
_TURNS: tuple[TurnDeg, ...] = (0, 90, 180, 270)


def trim_of(sheet_mm: tuple[float, float], cut_to_mm: tuple[float, float] | None) -> Box:
    """The open card on its sheet: all of it, or what is cut out of its middle. Raises BadRecord."""
    width, height = sheet_mm
    if cut_to_mm is None:
        return Box(0.0, 0.0, width, height)
    w, h = cut_to_mm
    if w > width + SAME_MM or h > height + SAME_MM:
        raise BadRecord(
            "card.cut-larger-than-sheet", place=CUT_TO, cut_mm=cut_to_mm, sheet_mm=(width, height)
        )
    return Box((width - w) / 2, (height - h) / 2, w, h)


def cut_panels(panels: Sequence[Panel], trim: Box) -> tuple[Panel, ...]:
    """The panels, each with what is left of it. Raises BadRecord where nothing is."""
    found: list[Panel] = []
    for panel in panels:
        left = panel.trim.intersection(trim)
        if left is None:
            raise BadRecord("card.panel-cut-away", place=CUT_TO, panel=called(panel.name))
        reached = panel.printable.intersection(trim) or Box(left.x, left.y, 0.0, 0.0)
        found.append(panel.model_copy(update={"trim": left, "printable": reached}))
    return tuple(found)


def whole_face(panels: Sequence[Panel], side: Side) -> Panel | None:
    """A face as one panel, to be named ``outside`` or ``inside``; it stands as the front, or as the pages inside.

    The insides of a quarter fold lie on the outside face and are left out. None for the back of a flat card.
    """
    if side == "back" and len(panels) == 1:
        return None
    parts = [panel for panel in panels if side == "back" or not panel.name.startswith("inside")]
    first = "front" if side == "front" else "inside"
    chief = next((panel for panel in parts if panel.name.startswith(first)), parts[-1])
    reached = [panel.printable for panel in parts if panel.is_reached]
    trim = around([panel.trim for panel in parts])
    return Panel(
        name="outside" if side == "front" else "inside",
        trim=trim,
        printable=around(reached) if reached else Box(trim.x, trim.y, 0.0, 0.0),
        turn_deg=chief.turn_deg,
    )


def with_bleed(box: Box, trim: Box, fit: Fit) -> Box:
    """A box with its bleed past those edges that are the card's own: where it is cut, or printed borderless.

    A crease has none, nor has an edge of the sheet that the printer does not reach.
    """
    width, height = fit.size_mm
    past = max(BLEED_MM, (fit.enlargement_mm or 0.0) + 1.0)

    def room(is_edge: bool, to_sheet: float) -> float:
        if not is_edge:
            return 0.0
        return past if fit.borderless else min(BLEED_MM, to_sheet)

    return box.inset(
        -room(abs(box.x - trim.x) < SAME_MM, box.x),
        -room(abs(box.y - trim.y) < SAME_MM, box.y),
        -room(abs(box.right - trim.right) < SAME_MM, width - box.right),
        -room(abs(box.bottom - trim.bottom) < SAME_MM, height - box.bottom),
    )


def around(boxes: Sequence[Box]) -> Box:
    """The smallest box that holds them all."""
    left, top = min(box.x for box in boxes), min(box.y for box in boxes)
    right, bottom = max(box.right for box in boxes), max(box.bottom for box in boxes)
    return Box(left, top, right - left, bottom - top)


def gaps(box: Box, trim: Box) -> tuple[float, float, float, float]:
    """How far a box stays inside another: at the left, top, right and bottom; below zero where it stands out."""
    return box.x - trim.x, box.y - trim.y, trim.right - box.right, trim.bottom - box.bottom


def crease_gaps(box: Box, zone: Box, trim: Box) -> list[float]:
    """The gaps between a box and those edges of its panel that are creases."""
    return [gap for gap, outer in zip(gaps(box, zone), _outer(zone, trim), strict=True) if not outer]


def edge_gaps(box: Box, zone: Box, trim: Box) -> list[float]:
    """The gaps between a box and those edges of its panel that are the card's own."""
    return [gap for gap, outer in zip(gaps(box, zone), _outer(zone, trim), strict=True) if outer]


def _outer(zone: Box, trim: Box) -> tuple[bool, bool, bool, bool]:
    """Which of a panel's edges are the card's own: left, top, right, bottom. The rest are creases."""
    return (
        abs(zone.x - trim.x) < SLACK_MM,
        abs(zone.y - trim.y) < SLACK_MM,
        abs(zone.right - trim.right) < SLACK_MM,
        abs(zone.bottom - trim.bottom) < SLACK_MM,
    )


@dataclass(frozen=True)
class Frame:
    """Turns places on the upright panel into places on the sheet, both in mm, x right and y down.

    ``turn_deg`` is the clockwise turn of the contents on the sheet, a multiple of 90.
    """

    trim: Box
    turn_deg: TurnDeg

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the upright panel."""
        return (self.trim.w, self.trim.h) if self.turn_deg in (0, 180) else (self.trim.h, self.trim.w)

    def point_on_sheet(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the upright panel falls on the sheet."""
        left, top, width, height = self.trim
        if self.turn_deg == 0:
            return left + x, top + y
        if self.turn_deg == 90:
            return left + width - y, top + x
        if self.turn_deg == 180:
            return left + width - x, top + height - y
        return left + y, top + height - x

    def box_on_sheet(self, box: Box) -> Box:
        """The box on the sheet that a box of the upright panel covers."""
        x1, y1 = self.point_on_sheet(box.x, box.y)
        x2, y2 = self.point_on_sheet(box.right, box.bottom)
        return Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))

    def box_on_panel(self, box: Box) -> Box:
        """The box of the upright panel that covers a box on the sheet."""
        left, top, width, height = self.trim
        x, y = box.x - left, box.y - top
        if self.turn_deg == 0:
            return Box(x, y, box.w, box.h)
        if self.turn_deg == 90:
            return Box(y, width - x - box.w, box.h, box.w)
        if self.turn_deg == 180:
            return Box(width - x - box.w, height - y - box.h, box.w, box.h)
        return Box(height - y - box.h, x, box.h, box.w)


def frame_of(panel: Panel, turn: TurnDeg = 0) -> Frame:
    """The panel as its contents see it, themselves turned clockwise on it by ``turn``."""
    return Frame(panel.trim, _TURNS[(panel.turn_deg + turn) // 90 % 4])
