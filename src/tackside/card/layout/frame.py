"""A panel as its reader sees it: upright, with its own origin, wherever it lies on the sheet and whichever
way up.
"""

from __future__ import annotations

from dataclasses import dataclass

from tackside.fit.model import Panel, TurnDeg
from tackside.units import Box

_TURNS: tuple[TurnDeg, ...] = (0, 90, 180, 270)


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
