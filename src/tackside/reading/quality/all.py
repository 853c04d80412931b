"""All attributes of a located sheet, one after another; those that need nothing but other attributes or the patches'
colours are worked out here: doubling, and where shadows and highlights open."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.reading.quality.banding import banding_attributes
from tackside.reading.quality.bleed import between_attributes, bleed_attributes, smudge_attribute
from tackside.reading.quality.edges import edge_attributes, scanner_response, spread_um
from tackside.reading.quality.evenness import evenness_attributes, surface
from tackside.reading.quality.legible import legibility_attributes
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.lines import LEAST_PPI, TEN_TO_NINETY, line_attributes
from tackside.records import Attribute, PatchReading, SheetPlan
from tackside.sheet.canvas import Grid

if TYPE_CHECKING:  # of a scanner that was learnt
    from tackside.records.scanner import Sharpness

# Two greys are told apart when their ΔE00 is at least 1 (just visible; docs/sources.md, S32) and at least twice what
# the readings' own scatter would make.
VISIBLE = 1.0
POINTS = 9  # about that many independent places in a patch, as in ``verdict.measures.patch_table``


@dataclass(frozen=True)
class Quality:
    """What a scan tells of the print beyond its colours. ``overshoot``: the greatest at its edges, share of
    the step.
    """

    attributes: dict[str, Attribute]
    overshoot: float
    notices: tuple[Message, ...]


def judge_quality(
    scan: ScanImage,
    sheet_map: SheetMap,
    plan: SheetPlan,
    patches: Sequence[PatchReading],
    ppi: float,
    sharpness: Sequence[Sharpness] = (),
) -> Quality:
    """Attributes by name; ``sharpness`` is what is known of the scanner's own response."""
    known = {
        direction: spread_um(one)
        for direction in ("horizontal", "vertical")
        # Across a vertical line lies the sheet's width, as it does across a vertical edge.
        if (one := scanner_response(sharpness, sheet_map, direction, ppi)) is not None
    }
    found, notices = line_attributes(scan, sheet_map, plan.targets, ppi, known)
    sharp = edge_attributes(scan, sheet_map, plan.targets, ppi, sharpness)
    found |= sharp.attributes | _doubling(found)
    by_name = {patch.name: patch for patch in patches}
    planned = [patch for patch in plan.patches if patch.name in by_name]
    lightness = np.array([by_name[patch.name].lab[0] for patch in planned])
    seen = surface(scan, sheet_map, planned, lightness)
    found |= evenness_attributes(seen) | banding_attributes(seen)
    found |= legibility_attributes(scan, sheet_map, plan.targets, ppi)
    found |= between_attributes(scan, sheet_map, plan.targets, ppi, Grid(plan.ppi))
    paper = next((patch.lab for patch in patches if patch.rgb == (1.0, 1.0, 1.0)), None)
    for target in plan.targets:
        if target.kind != "smudge":
            continue
        if ppi >= LEAST_PPI:
            found |= bleed_attributes(scan, sheet_map, target, Grid(plan.ppi))
        if paper is not None:
            found |= smudge_attribute(scan, sheet_map, target, np.array(paper))
    return Quality(found | end_attributes(patches), sharp.overshoot, (*notices, *sharp.notices))


def _doubling(found: dict[str, Attribute]) -> dict[str, Attribute]:
    """``doubling_{direction}`` in µm: how far apart two half-strength images would have to lie.

    Of the blurriness in both directions the lesser is taken for the single image's; two such edges side by side, half
    a step each, then have the greater 10 to 90 % distance.
    """
    pair = [found.get(f"line_blurriness_{direction}") for direction in ("horizontal", "vertical")]
    if pair[0] is None or pair[1] is None:
        return {}
    least = min(pair[0].value, pair[1].value)
    spread = sqrt(sum((one.sd or 0.0) ** 2 for one in (pair[0], pair[1])))

    def apart(blurriness: float) -> float:
        return apart_um(least / TEN_TO_NINETY, blurriness)

    return {
        f"doubling_{direction}": Attribute(
            value=apart(one.value),
            unit="µm",
            # Near none at all a small difference of blurriness is a great distance: the longer side counts.
            sd=max(
                apart(one.value + spread) - apart(one.value), apart(one.value) - apart(one.value - spread)
            ),
        )
        for direction, one in zip(("horizontal", "vertical"), (pair[0], pair[1]), strict=True)
    }


def apart_um(sigma_um: float, blurriness_um: float) -> float:
    """The distance s of two Gaussian edges of ``sigma_um``, half a step each, whose 10 to 90 % is ``blurriness_um``."""
    if blurriness_um <= TEN_TO_NINETY * sigma_um or sigma_um <= 0:
        return 0.0
    apart, wide = _two_edges()
    ratio = blurriness_um / sigma_um
    if ratio >= wide[-1]:  # far apart, each edge ends alone: the distance grows with the width one to one
        return float((ratio - wide[-1] + apart[-1]) * sigma_um)
    return float(np.interp(ratio, wide, apart) * sigma_um)


@lru_cache(maxsize=1)
def _two_edges() -> tuple[Floats, Floats]:
    """Distances of two edges, and the 10 to 90 % width of their sum, both in σ."""
    apart = np.linspace(0.0, 12.0, 121)
    x = np.linspace(0.0, 12.0, 2401)
    # Φ once, from -6 to 18 in the steps of x: each edge stands ten of these farther out. SciPy's is slow to import.
    normal = np.array([math.erfc(-z / math.sqrt(2)) / 2 for z in np.linspace(-6.0, 18.0, 4801)])
    sums = [(normal[1200 + step :][:2401] + normal[1200 - step :][:2401]) / 2 for step in range(0, 1210, 10)]
    return apart, np.array([2 * float(np.interp(0.9, row, x)) for row in sums])


def end_attributes(patches: Sequence[PatchReading]) -> dict[str, Attribute]:
    """``shadow_step`` and ``highlight_step``: the device level, 0 to 1, of the first grey told apart from
    either end.
    """
    greys = sorted(
        (patch for patch in patches if patch.rgb is not None and max(patch.rgb) - min(patch.rgb) < 1e-6),
        key=lambda patch: (patch.rgb or (0.0,))[0],
    )
    levels = [patch.rgb[0] for patch in greys if patch.rgb is not None]
    if len(greys) < 8 or levels[0] > 0.01 or levels[-1] < 0.99:
        return {}
    found = {}
    for name, ordered in (("shadow_step", greys), ("highlight_step", greys[::-1])):
        found[name] = _first_apart(ordered)
    return {name: one for name, one in found.items() if one is not None}


def _first_apart(ordered: Sequence[PatchReading]) -> Attribute | None:
    lab = np.array([patch.lab for patch in ordered])
    scatter = np.array([patch.sd or 0.0 for patch in ordered]) / np.sqrt(POINTS)
    apart = delta_e_2000(lab[1:], lab[0]) >= np.maximum(VISIBLE, 2 * np.hypot(scatter[1:], scatter[0]))
    if not apart.any():
        return None
    # Apart from there on: one noisy patch among equals does not open the shadows.
    last_equal = int(np.flatnonzero(~apart).max()) + 1 if not apart.all() else 0
    first = min(last_equal, len(apart) - 1)
    level = [patch.rgb[0] for patch in ordered[1:] if patch.rgb is not None]
    step = abs(level[first] - level[first - 1]) if first else abs(level[0] - (ordered[0].rgb or (0.0,))[0])
    return Attribute(value=level[first], unit="1", sd=step / float(np.sqrt(12.0)))
