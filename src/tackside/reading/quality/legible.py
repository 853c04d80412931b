"""The smallest type that still reads: each printed letter is compared with every letter that could stand there.

A letter reads when its own drawing fits the print better than that of any other letter does, and fits well. A line
reads when nine tenths of its letters do. The drawings come from the font that set the sheet. How sharply the
eye agrees is
not settled: these limits are the project's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import interpolated, is_inside
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Attribute, Target
from tackside.sheet.blocks.specimen import line_of
from tackside.sheet.canvas import Canvas, Grid, Image
from tackside.sheet.page.text import LineOfDots, lay_line, rasterised, width_mm
from tackside.units import MM_PER_INCH, MM_PER_POINT

LETTERS = "abcdefghijklmnopqrstuvwxyz"
READS, FITS = 0.9, 0.55
MOST_LETTERS = 8
EM_PX = 24  # of the size's height: the pitch at which letters are compared
SHIFTS_MM = 0.13  # a print may lie so far from where the marks say
LEAST_PPI = 290.0
GREEN = 1  # the channel in which letters are looked at: nearest to what the eye sees
# Letters are drawn so many times as large, on a grid of their own.
_FINER, _PPI = 2, 600.0
_SIZE_MM = EM_PX * _FINER * MM_PER_INCH / _PPI
_SIDE = 20 * _FINER  # dots at each side of a letter's middle: no cell is wider than 1.6 of the letters' size


def legibility_attributes(
    scan: ScanImage, sheet_map: SheetMap, targets: Sequence[Target], ppi: float
) -> dict[str, Attribute]:
    """``text_legible_positive`` and ``text_legible_reversed``: pt of the smallest line that reads."""
    found: dict[str, Attribute] = {}
    if ppi < LEAST_PPI:
        return found
    for name in ("positive", "reversed"):
        lines = sorted(
            (one for one in targets if one.kind == "text" and one.name.startswith(f"text-{name}")),
            key=lambda one: -(one.size_pt or 0.0),
        )
        smallest, missed = _limit(scan, sheet_map, lines)
        if smallest is None and missed is None:
            continue
        if smallest is None:  # not even the largest: the next size up is a guess
            found[f"text_legible_{name}"] = Attribute(value=(missed or 0.0) * 1.2, unit="pt", sd=missed)
            continue
        step = smallest - missed if missed is not None else 0.5
        # The true limit lies anywhere between the sizes that are set: rectangular, GUM 4.3.7.
        found[f"text_legible_{name}"] = Attribute(value=smallest, unit="pt", sd=step / float(np.sqrt(3.0)))
    return found


def _limit(
    scan: ScanImage, sheet_map: SheetMap, lines: Sequence[Target]
) -> tuple[float | None, float | None]:
    """The smallest size that reads and the largest that does not, of ``lines`` from large to small, by halving."""
    smallest = missed = None
    first, last = 0, len(lines)
    while first < last:
        middle = (first + last) // 2
        share = share_read(scan, sheet_map, lines[middle])
        if share is None:
            return smallest, missed
        if share >= READS:
            smallest, first = lines[middle].size_pt, middle + 1
        else:
            missed, last = lines[middle].size_pt, middle
    return smallest, missed


def share_read(scan: ScanImage, sheet_map: SheetMap, target: Target) -> float | None:
    """The share of the line's first letters that read; None where the scan does not show the line."""
    if target.size_pt is None or not is_inside(scan.pixels, sheet_map, target.box_mm):
        return None
    text, x_mm, baseline_mm = line_of(target)
    positions = [number for number, letter in enumerate(text) if letter in LETTERS][:MOST_LETTERS]
    if not positions:
        return None
    size = target.size_pt * MM_PER_POINT
    pitch = size / EM_PX
    sign = 1.0 if target.ground[0] > target.ink[0] else -1.0
    reach = max(round(SHIFTS_MM / pitch), 1)
    read = 0
    for number in positions:
        cell = _Cell.of(text, number, target.size_pt)
        rows, columns = cell.shape
        y, x = np.mgrid[-reach : rows + reach, -reach : columns + reach] + 0.5
        points = np.stack([x_mm + cell.left_mm + x * pitch, baseline_mm - size + y * pitch], axis=-1)
        printed = -sign * interpolated(scan.pixels[..., GREEN], sheet_map.to_px(points))
        scores = _fits(printed, cell.drawings(), reach)
        mine = scores[LETTERS.index(text[number])]
        read += bool(mine >= FITS and mine >= scores.max() - 1e-9)
    return read / len(positions)


@dataclass(frozen=True)
class _Cell:
    """The room of one letter in a line: it and the halves of its neighbours. ``left_mm`` from the line's start."""

    before: str
    after: str
    size_pt: float
    left_mm: float
    wide_mm: float

    @classmethod
    def of(cls, text: str, number: int, size_pt: float) -> _Cell:
        start, end = width_mm(text[:number], size_pt), width_mm(text[: number + 1], size_pt)
        pad = 0.12 * size_pt * MM_PER_POINT
        return cls(
            text[:number][-1:], text[number + 1 : number + 2], size_pt, start - pad, end - start + 2 * pad
        )

    @property
    def shape(self) -> tuple[int, int]:
        pitch = self.size_pt * MM_PER_POINT / EM_PX
        return round(1.4 * EM_PX), max(round(self.wide_mm / pitch), 4)

    def drawings(self) -> Floats:
        """Ink's cover (letters, rows · columns) with each letter in the cell, its neighbours beside it; unit length."""
        wide_em = self.wide_mm / (self.size_pt * MM_PER_POINT)
        return _drawn(self.before, self.after, round(wide_em, 4), self.shape)


@lru_cache(maxsize=512)
def _drawn(before: str, after: str, wide_em: float, shape: tuple[int, int]) -> Floats:
    """Drawn twice as large and averaged, so that sizes share their drawings."""
    rows, columns = shape
    across = columns * _FINER
    # One canvas with a channel for each letter, so that the neighbours are laid beside all of them at once.
    together = Canvas(across, rows * _FINER, _PPI, channels=len(LETTERS))
    together.pixels[...] = _alone(rows * _FINER)[:, _SIDE - across // 2 : _SIDE + across // 2]
    middle = across / 2 * MM_PER_INCH / _PPI
    half = (wide_em - 0.24) * _SIZE_MM / 2
    black = (0.0,) * len(LETTERS)
    if before.strip():
        lay_line(together, _letter(before), middle - half, _SIZE_MM, black, "right")
    if after.strip():
        lay_line(together, _letter(after), middle + half, _SIZE_MM, black)
    dots = together.pixels.reshape(rows, _FINER, columns, _FINER, len(LETTERS))
    bare = dots.sum(axis=(1, 3), dtype=np.float64).reshape(-1, len(LETTERS)).T
    off = np.ascontiguousarray(bare.mean(axis=1, keepdims=True) - bare)
    return np.asarray(off / np.maximum(np.linalg.norm(off, axis=1, keepdims=True), 1e-9))


@lru_cache(maxsize=1)
def _alone(height: int) -> Image:
    """Each letter alone (height, 2 · _SIDE, letters), its middle between the two middle columns; cells are cut out."""
    canvases = [Canvas(2 * _SIDE, height, _PPI, channels=1) for _ in LETTERS]
    for canvas, letter in zip(canvases, LETTERS, strict=True):
        lay_line(canvas, _letter(letter), _SIDE * MM_PER_INCH / _PPI, _SIZE_MM, (0.0,), "centre")
    return np.concatenate([canvas.pixels for canvas in canvases], axis=2)


@lru_cache(maxsize=64)
def _letter(letter: str) -> LineOfDots:
    return rasterised(Grid(_PPI), letter, _SIZE_MM / MM_PER_POINT)


def _fits(printed: Floats, drawings: Floats, reach: int) -> Floats:
    """For each drawing, its greatest correlation coefficient with the print over the shifts that are allowed."""
    rows, columns = printed.shape[0] - 2 * reach, printed.shape[1] - 2 * reach
    seen = np.lib.stride_tricks.sliding_window_view(printed, (rows, columns)).reshape(-1, rows * columns)
    off = seen - seen.mean(axis=1, keepdims=True)
    length = np.maximum(np.linalg.norm(off, axis=1), 1e-9)
    return np.asarray(((off @ drawings.T) / length[:, None]).max(axis=0))
