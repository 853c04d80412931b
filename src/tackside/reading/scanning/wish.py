"""What a reading needs of a scanner, and what is asked of one for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from tackside.errors import ScannerTrouble

SizeMm = tuple[float, float]
Format = Literal["image/tiff", "image/png", "application/pdf", "image/jpeg"]

PPI = (300, 600)
# A print that lies a little off the corner of the glass still shows its edge.
MARGIN_MM = 10.0
# Below this the marks of a sheet are too small; above it a scan only takes longer.
COARSEST_PPI, FINEST_PPI = 200, 1200


@dataclass(frozen=True)
class ScanWish:
    """``ppi`` wanted, of the sheet of ``sheet_mm`` as it lies in the corner of the glass; None: the whole glass."""

    ppi: int = 300
    sheet_mm: SizeMm | None = None


@dataclass(frozen=True)
class ScanAsked:
    """What one scan is asked for: ``bits`` a channel, the area from the glass's corner, of a glass of ``glass_mm``.

    ``for_less``: it refused settings that it offers, and was asked again without those of its corrections.
    """

    ppi: int
    bits: int
    format: str
    area_mm: SizeMm
    glass_mm: SizeMm
    for_less: bool = False

    @property
    def most_bytes(self) -> int:
        """The largest file that the whole glass can give at this resolution, unpacked, with room for what stands
        around it."""
        width, height = (side / 25.4 * self.ppi + 64 for side in self.glass_mm)
        return int(width * height * 3 * max(self.bits, 8) / 8 * 1.1) + 4_000_000

    @property
    def usual_bytes(self) -> int:
        """About what comes, for telling how far it is: the area unpacked, a tenth of it as JPEG."""
        width, height = (side / 25.4 * self.ppi for side in self.area_mm)
        whole = width * height * 3 * self.bits / 8
        return max(1, int(whole if self.format in ("image/tiff", "image/png") else whole / 8))


def area_for(sheet_mm: SizeMm | None, glass_mm: SizeMm) -> SizeMm:
    """The sheet with a margin, lying along or across, as far as the glass goes; the whole glass where the sheet is
    larger than that."""
    if sheet_mm is None:
        return glass_mm
    for width, height in (sheet_mm, sheet_mm[::-1]):
        if width <= glass_mm[0] + 1 and height <= glass_mm[1] + 1:
            return min(width + MARGIN_MM, glass_mm[0]), min(height + MARGIN_MM, glass_mm[1])
    return glass_mm


def resolution_for(wanted: int, offered: Sequence[int]) -> int:
    """The resolution to ask for: the one wanted, else the next finer, else the finest that is fine enough.

    Raises ScannerTrouble where none is.
    """
    if wanted in offered:
        return wanted
    finer = [each for each in offered if wanted < each <= FINEST_PPI]
    if finer:
        return min(finer)
    coarser = [each for each in offered if COARSEST_PPI <= each < wanted]
    if not coarser:
        raise ScannerTrouble("scanning.too-coarse", finest=max(offered, default=0), least=COARSEST_PPI)
    return max(coarser)
