"""Measures of colour: chroma of each solid, gamut volume by method."""

from __future__ import annotations

import numpy as np

from tackside.colour.gamut import HULL_METHOD, gamut_volume, hull_volume
from tackside.colour.hull import hull_volume_and_slopes
from tackside.records.verdict import Measure
from tackside.verdict.measures.patch_table import Floats, PatchTable
from tackside.verdict.measures.uncertainty import AXES, chroma_sd, chroma_weight, lightness_weight

VOLUME_UNIT = "ΔE³"
CORNERS_METHOD = "convex hull of paper, black and the six solids"


def solid_chromas(table: PatchTable) -> dict[str, Measure]:
    """C*ab of the solids C, M, Y, R, G, B that were read: ``chroma_c`` and so on."""
    measures = {}
    for name, row in table.solids.items():
        chroma = float(np.hypot(table.lab[row, 1], table.lab[row, 2]))
        sd = float(chroma_sd(chroma, table.noise[row], table.de00))
        measures[f"chroma_{name}"] = Measure(
            value=chroma, unit="C*ab", sd=sd, method=f"patch {table.names[row]}"
        )
    return measures


def volumes(table: PatchTable) -> dict[str, Measure]:
    """``gamut_volume`` by the best method, ``gamut_hull`` by the hull, ``gamut_corners`` by eight colours."""
    device = table.rgb if table.rgb is not None else table.cmyk
    best = gamut_volume(device, table.lab)
    if best.volume <= 0:
        return {}
    measures = {
        "gamut_volume": Measure(
            value=best.volume,
            unit=VOLUME_UNIT,
            sd=volume_sd(table, best.volume, np.arange(len(table.lab))),
            method=best.method,
        )
    }
    if best.method != HULL_METHOD:
        hull = hull_volume(table.lab)
        measures["gamut_hull"] = Measure(
            value=hull,
            unit=VOLUME_UNIT,
            sd=volume_sd(table, hull, np.arange(len(table.lab))),
            method=HULL_METHOD,
        )
    if len(table.solids) == 6:
        rows = np.array([table.paper, table.black, *table.solids.values()])
        corners = hull_volume(table.lab[rows])
        measures["gamut_corners"] = Measure(
            value=corners, unit=VOLUME_UNIT, sd=volume_sd(table, corners, rows), method=CORNERS_METHOD
        )
    return measures


def volume_sd(table: PatchTable, volume: float, rows: np.ndarray[tuple[int], np.dtype[np.intp]]) -> float:
    """One sd of a volume: the shared deviation as a stretch of L* and of chroma, and the patches' own noise.

    V grows with the stretch of lightness once and of chroma twice. The noise is carried by the slope of the
    convex hull's volume by each patch, in proportion where the volume is not the hull's.
    """
    lab, noise = table.lab[rows], table.noise[rows]
    hull, slopes = hull_volume_and_slopes(lab)
    own = float(np.sqrt(np.sum(slopes**2 * noise[:, None] ** 2 / 3))) * volume / max(hull, 1e-9)
    return float(np.hypot(volume * _stretch(lab, table.de00), own))


def _stretch(lab: Floats, de00: float) -> float:
    """Relative sd of a volume from a deviation of ``de00`` that grows or shrinks the whole solid."""
    lightness, chroma = lab[:, 0], np.hypot(lab[:, 1], lab[:, 2])
    ends = np.array([lightness.min(), lightness.max()])
    reach = max(float(ends[1] - ends[0]), 1e-6)
    along = de00 / AXES * float(np.sqrt(np.sum(lightness_weight(ends) ** 2))) / reach
    far = max(float(np.quantile(chroma, 0.9)), 1e-6)
    across = de00 / AXES * float(chroma_weight(far)) / far
    return float(np.hypot(along, 2 * across))
