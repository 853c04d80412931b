"""The virtual printer: what its driver does with numbers, and where the print falls on the sheet."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Literal

import numpy as np

from tackside.press.printer.halftone import Floats
from tackside.press.printer.stock_model import StockModel
from tackside.records import Placement
from tackside.records.printer import Margins

Ink = Literal["c", "m", "y", "k"]
INKS: tuple[Ink, ...] = ("c", "m", "y", "k")
_NONE = Margins()


@dataclass(frozen=True)
class PrinterModel:
    """One virtual printer with its settings and its faults. All figures are invented.

    ``reads_as``: the space in which the driver reads the file's numbers, whatever the file says.
    ``managed``: the driver's grey curves are applied ``once`` as they should, ``twice`` (application and
    driver) or by ``nobody``. ``media``: the stock that the media setting was made for; None: it fits the
    stock (a card with no coating has no setting of its own and gets the matt one). ``ink``: ink laid over
    ink meant, below 1 too little, above 1 too much. ``missing``: inks that do not print.
    ``misalignment_mm``: how far the head's two directions of travel lie apart, along the width.
    ``offset_mm``, ``scale_x``, ``scale_y``, ``rotation_deg`` (clockwise as seen): where the print falls, as
    in ``records.Placement``; ``skew_deg`` turns the print's vertical a little further.
    ``margins_mm``: what the head can't reach. ``enlargement_mm``: borderless enlargement past each edge.
    ``banding_period_mm`` (0: none) and ``banding_lightness``: bands that vary as a sine along ``banding_axis``
    (``feed``: down the sheet), with this peak amplitude of L* in a tone of about
    L* 50 (as far as there is ink: about four fifths of it there). ``lead``: cyan leads the greys, its tone for a
    grey of depth d is lead · d + (1 − lead) · d⁴; ``removed``: how much of cyan, magenta and yellow a full black
    takes away.
    """

    reads_as: Literal["srgb", "adobe-rgb"] = "srgb"
    managed: Literal["once", "twice", "nobody"] = "once"
    media: StockModel | None = None
    ink: float = 1.0
    missing: tuple[Ink, ...] = ()
    misalignment_mm: float = 0.0
    offset_mm: tuple[float, float] = (0.0, 0.0)
    scale_x: float = 1.0
    scale_y: float = 1.0
    rotation_deg: float = 0.0
    skew_deg: float = 0.0
    margins_mm: Margins = _NONE
    enlargement_mm: float = 0.0
    banding_period_mm: float = 0.0
    banding_lightness: float = 0.0
    banding_axis: Literal["feed", "across"] = "feed"
    lead: float = 0.8
    removed: tuple[float, float, float] = (0.25, 0.4, 0.37)

    def colour_part(self) -> PrinterModel:
        """The same printer as far as flat colours go: placed truly and without margins."""
        return PrinterModel(
            self.reads_as,
            self.managed,
            self.media,
            self.ink,
            self.missing,
            lead=self.lead,
            removed=self.removed,
        )

    def asked_to_printed(self, size_mm: tuple[float, float]) -> Floats:
        """The (2, 3) map from a point asked for to the point printed, both mm on a sheet of ``size_mm``."""
        turn, further = radians(self.rotation_deg), radians(self.rotation_deg + self.skew_deg)
        moved = np.array(
            [
                [self.scale_x * cos(turn), -self.scale_y * sin(further), self.offset_mm[0]],
                [self.scale_x * sin(turn), self.scale_y * cos(further), self.offset_mm[1]],
                [0.0, 0.0, 1.0],
            ]
        )
        grow = self.enlargement_mm
        enlarged = np.diag([(size_mm[0] + 2 * grow) / size_mm[0], (size_mm[1] + 2 * grow) / size_mm[1], 1.0])
        enlarged[:2, 2] = -grow
        return np.asarray((moved @ enlarged)[:2])

    def placement(self, size_mm: tuple[float, float]) -> Placement:
        """The truth about where the print falls; there are no marks and no residual in it."""
        to_printed = self.asked_to_printed(size_mm)
        return Placement(
            scale_x=float(np.hypot(*to_printed[:, 0])),
            scale_y=float(np.hypot(*to_printed[:, 1])),
            rotation_deg=self.rotation_deg,
            skew_deg=self.skew_deg,
            offset_mm=(float(to_printed[0, 2]), float(to_printed[1, 2])),
            residual_um=0.0,
            marks_found=0,
        )
