"""What the reader tells of a scan with other pixels in its place, and whether these move what is read from it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.errors import BadScan
from tackside.reading.quality.edges import edge_attributes
from tackside.reading.scan.colours import is_inside, sample_boxes
from tackside.reading.scan.locate import Located
from tackside.reading.scan.uncertainty import resolution
from tackside.reading.spoilt.examine import examine, refuse_what_is_no_scan

# What counts as having moved a reading: ΔE00 of any patch, and the share of an edge's frequency at half response.
MOVED_DE00, MOVED_SHARPNESS = 1.0, 0.1
REFUSALS = {
    "spoilt.red-and-blue-exchanged": "exchanged",
    "spoilt.part-bare": "covered",
    "spoilt.part-painted": "covered",
}


@dataclass(frozen=True)
class Seen:
    """What the reader's own parts say of a scan; lines and evenness, which tell nothing of this, are left out."""

    lab: np.ndarray
    sharpness: dict[str, float]
    told: tuple[str, ...]


def see(located: Located, pixels: np.ndarray) -> Seen:
    """``pixels`` in the place of the located scan's own: what is done to them moves no mark."""
    scan, sheet = replace(located.scan, pixels=pixels), located.sheet
    patches = [patch for patch in located.plan.patches if is_inside(pixels, sheet.map, patch.box_mm)]
    sampled = sample_boxes(scan, sheet.map, [patch.box_mm for patch in patches])
    ppi, _ = resolution(scan, sheet.map.px_per_mm)
    sharp = edge_attributes(scan, sheet.map, located.plan.targets, ppi)
    try:
        refuse_what_is_no_scan(scan, patches, sampled)
        told = tuple(each.setting for each in examine(scan, sheet, patches, sampled, sharp.overshoot))
    except BadScan as error:
        told = (REFUSALS[error.message.code],)
    return Seen(sampled.lab, {name: one.value for name, one in sharp.attributes.items()}, told)


def moved(plain: Seen, other: Seen) -> bool:
    gaps = delta_e_2000(plain.lab, other.lab)
    sharp = [
        abs(other.sharpness[name] / value - 1)
        for name, value in plain.sharpness.items()
        if name in other.sharpness
    ]
    return float(gaps.max(initial=0)) > MOVED_DE00 or max(sharp, default=0) > MOVED_SHARPNESS
