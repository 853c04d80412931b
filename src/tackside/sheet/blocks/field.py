"""The colour field: grey ramp, ink ramps and cube on one calm grid that fills the width exactly.

The number of columns is chosen so that greys and ramps end flush with the right edge; the cube's last
row is filled up with near-greys. A colour that serves twice is printed once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from tackside.records import Bar, Patch
from tackside.sheet.blocks import cube, grey, inks
from tackside.sheet.canvas import Grid
from tackside.sheet.colours import Colour, merged
from tackside.sheet.page.headings import Look, heading, outline
from tackside.sheet.placed import Placed
from tackside.units import Box

LEAST_PATCH_MM = 3.5
# A bigger cube must not shrink its patches below what is read with ease: cube steps → patch side in mm.
COMFORTABLE_MM = {3: 3.5, 4: 3.5, 5: 4.0, 6: 5.0, 7: 5.6, 8: 5.8, 9: 6.0}
# Columns and ramps side by side, so that a ramp has 6 to 12 steps and every row is full; longer ramps first.
CUTS = (
    (6, 1), (8, 1), (9, 1), (10, 1), (12, 1), (12, 2), (14, 2), (16, 2), (18, 2), (18, 3), (20, 2), (21, 3),
    (24, 2), (24, 3), (27, 3), (30, 3), (36, 3), (36, 6), (42, 6), (48, 6),
)  # fmt: skip


@dataclass(frozen=True)
class FieldPlan:
    """How the field is cut: columns, cube steps (0: none), whether ramps are in; pitch and gutter in mm."""

    columns: int
    abreast: int
    steps: int
    with_ramps: bool
    look: Look
    pitch_mm: float
    gutter_mm: float
    grey_rows: int
    ramp_rows: int
    cube_rows: int

    @property
    def patch_mm(self) -> float:
        return self.pitch_mm - self.gutter_mm

    @property
    def height_mm(self) -> float:
        parts = [rows for rows in (self.grey_rows, self.ramp_rows, self.cube_rows) if rows]
        patches = sum(rows * self.pitch_mm - self.gutter_mm for rows in parts)
        return patches + len(parts) * self.look.heading_mm + (len(parts) - 1) * self.look.section_gap_mm


def best_field(width_mm: float, height_mm: float, look: Look) -> FieldPlan | None:
    """The largest cube with comfortable patches, then the largest patches; None where not even greys fit."""
    for steps, with_ramps in [*((steps, True) for steps in range(9, 2, -1)), (0, True), (0, False)]:
        least = COMFORTABLE_MM.get(steps, LEAST_PATCH_MM)
        plans = [_cut(*cut, width_mm, steps, with_ramps, look) for cut in CUTS]
        fitting = [plan for plan in plans if plan.patch_mm >= least and plan.height_mm <= height_mm]
        if fitting:
            return max(fitting, key=lambda plan: plan.patch_mm)
    return None


def _cut(columns: int, abreast: int, width_mm: float, steps: int, with_ramps: bool, look: Look) -> FieldPlan:
    pitch = width_mm / columns
    gutter = 0.3 if pitch < 4.3 else 0.4 if pitch < 5 else 0.6
    groups = _colours(columns, abreast, steps, with_ramps)
    return FieldPlan(
        columns=columns,
        abreast=abreast,
        steps=steps,
        with_ramps=with_ramps,
        look=look,
        pitch_mm=(width_mm + gutter) / columns,
        gutter_mm=gutter,
        grey_rows=len(groups[0]) // columns,
        ramp_rows=len(groups[1]) // columns,
        cube_rows=len(groups[2]) // columns,
    )


@lru_cache(maxsize=512)
def _colours(columns: int, abreast: int, steps: int, with_ramps: bool) -> list[list[Colour]]:
    """Greys, ramps and the rest of the cube, each filling whole rows."""
    greys = grey.greys(math.ceil(grey.LEAST_COUNT / columns) * columns)
    ramps: list[Colour] = []
    if with_ramps:
        order = inks.IN_PAIRS if abreast <= 2 else inks.IN_TRIPLES
        ramps = [colour for letter in order for colour in inks.ramp(letter, columns // abreast)]
    whole = cube.cube(steps) if steps else []
    first, second, rest = merged(greys, ramps, whole)
    missing = -len(rest) % columns
    return [first, second, cube.by_hue(rest + cube.near_greys(missing), columns)]


def place_field(plan: FieldPlan, box: Box, panel: str, grid: Grid) -> Placed:
    """The field from the top of ``box``; spare height goes between the sections, up to a limit."""
    groups = _colours(plan.columns, plan.abreast, plan.steps, plan.with_ramps)
    titles = (
        ("Grey", f"{len(groups[0])} steps, finer towards white and black"),
        ("Inks and overprints", "cyan, magenta, yellow, red, green, blue: tint to solid"),
        ("Cube", f"{plan.steps} × {plan.steps} × {plan.steps} even steps of red, green and blue, by hue"),
    )
    present = [(title, group) for title, group in zip(titles, groups, strict=True) if group]
    spare = (box.h - plan.height_mm) / max(len(present) - 1, 1)
    look = plan.look
    gap = look.section_gap_mm + min(max(spare, 0.0), 7.0)
    placed, y = Placed(), box.y
    for (title, remark), group in present:
        placed += heading(Box(box.x, y, box.w, look.heading_mm), title, remark, look)
        y += look.heading_mm
        placed += _rows(plan, group, Box(box.x, y, box.w, 0), panel, grid)
        y += len(group) // plan.columns * plan.pitch_mm - plan.gutter_mm + gap
    return placed


def _rows(plan: FieldPlan, colours: Sequence[Colour], at: Box, panel: str, grid: Grid) -> Placed:
    side = grid.mm(int(plan.patch_mm / grid.mm(1) + 1e-6))
    patches: list[Patch] = []
    bars: list[Bar] = []
    for number, colour in enumerate(colours):
        row, column = divmod(number, plan.columns)
        box = grid.box(at.x + column * plan.pitch_mm, at.y + row * plan.pitch_mm, side, side)
        patches.append(Patch(name=colour.name, rgb=colour.rgb, box_mm=box, roles=colour.roles, panel=panel))
        if "white" in colour.roles:
            bars += outline(box, grid)
    return Placed(patches=tuple(patches), bars=tuple(bars))
