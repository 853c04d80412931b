"""Every patch in halves, the aim at the left and the print at the right, in rows for the eye."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from tackside.report.patches import PatchPair
from tackside.report.plots.svg import drawing, element, number, text

COLUMNS = 32
CELL = 22
PITCH = 25
LABEL = 17
ROW_GAP = 9
ROWS = ("Greys", "Cyan", "Magenta", "Yellow", "Red", "Green", "Blue", "Cube", "Others")


def patch_grid(pairs: Sequence[PatchPair], label: str) -> str:
    """The drawing; without an aim each patch is the print alone. Short rows stand side by side."""
    parts: list[str] = []
    column, top, bottom = 0, 4.0, 4.0
    for row in ROWS:
        members = sorted((pair for pair in pairs if row in pair.rows), key=_order_in(row))
        if not members:
            continue
        wide = min(len(members), _columns_for(row, members))
        if column + wide > COLUMNS:
            column, top = 0, bottom + ROW_GAP
        parts.append(text(column * PITCH, top + 12, row, "patch-row"))
        for place, pair in enumerate(members):
            x = (column + place % wide) * PITCH
            parts.append(_cell(pair, x, top + LABEL + place // wide * PITCH))
        bottom = max(bottom, top + LABEL + ((len(members) - 1) // wide + 1) * PITCH)
        column += wide + 1
    return drawing(
        COLUMNS * PITCH - (PITCH - CELL),
        bottom,
        f"Patches of {label}",
        f"{len(pairs)} patches, each with the colour asked for at the left and the printed one at the right",
        "".join(parts),
        "patches",
    )


def _cell(pair: PatchPair, x: float, y: float) -> str:
    left = CELL / 2 if pair.aim else 0
    halves = element("rect", x=x + left, y=y, width=CELL - left, height=CELL, fill=pair.print)
    if pair.aim:
        halves = element("rect", x=x, y=y, width=left, height=CELL, fill=pair.aim) + halves
    lab = ", ".join(number(round(part, 1)) for part in pair.print_lab)
    off = "" if pair.de00 is None else f"; ΔE00 {pair.de00:.1f} from its aim"
    return f"<g><title>{escape(f'{pair.name}: L*a*b* {lab}{off}')}</title>{halves}</g>"


def _columns_for(row: str, members: Sequence[PatchPair]) -> int:
    """The cube's lines hold whole runs of its steps, so that its colours stand in order; others fill the
    width.
    """
    if row != "Cube":
        return COLUMNS
    side = len({pair.rgb[2] for pair in members})
    return COLUMNS // side * side if side <= COLUMNS else COLUMNS


def _order_in(row: str) -> Callable[[PatchPair], tuple[float, ...]]:
    """Ramps and greys from light to dark, the cube as its numbers count."""
    if row == "Cube":
        return lambda pair: pair.rgb
    return lambda pair: (-sum(pair.rgb), *pair.rgb)
