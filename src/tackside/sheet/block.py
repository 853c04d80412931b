"""The protocol that all blocks follow."""

from __future__ import annotations

from typing import Protocol

from tackside.sheet.canvas import Grid
from tackside.sheet.page.headings import Look
from tackside.sheet.placed import Placed
from tackside.units import Box, Size


class Block(Protocol):
    """One idea on the sheet. ``least`` says the smallest room (mm) in which it still measures something.

    ``place`` fills a box of at least that size and never draws outside it. What a block's targets look
    like is drawn by the ``draw`` function beside it, from the plan alone.
    """

    @property
    def name(self) -> str: ...

    def least(self, look: Look) -> Size: ...

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed: ...
