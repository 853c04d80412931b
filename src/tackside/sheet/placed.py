"""What a block hands back once it has its place, and the protocol that all blocks follow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from tackside.records import Bar, Caption, Patch, Target
from tackside.sheet.grid import Grid
from tackside.units import Box, Size

if TYPE_CHECKING:
    from tackside.sheet.page.headings import Look


@dataclass(frozen=True)
class Placed:
    """Patches and targets to be measured, captions and bars to be looked at."""

    patches: tuple[Patch, ...] = ()
    targets: tuple[Target, ...] = ()
    captions: tuple[Caption, ...] = ()
    bars: tuple[Bar, ...] = ()

    def __add__(self, other: Placed) -> Placed:
        return Placed(
            self.patches + other.patches,
            self.targets + other.targets,
            self.captions + other.captions,
            self.bars + other.bars,
        )


NOTHING = Placed()


class Block(Protocol):
    """One idea on the sheet. ``least`` says the smallest room (mm) in which it still measures something.

    ``place`` fills a box of at least that size and never draws outside it. What a block's targets look
    like is drawn by the ``draw`` function beside it, from the plan alone.
    """

    @property
    def name(self) -> str: ...

    def least(self, look: Look) -> Size: ...

    def place(self, box: Box, panel: str, grid: Grid, look: Look) -> Placed: ...
