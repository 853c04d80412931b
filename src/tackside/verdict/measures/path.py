"""Measures of a path sheet: what a whole colour path shows of colours that it had to bring into gamut.

The eight corners of a file's space lie outside every card, and each way of bringing them in puts them elsewhere.
What the print shows of all the sheet's colours together depends on that far less (docs/sources.md, S101).
"""

from __future__ import annotations

import numpy as np

from tackside.colour.gamut import largest_grid
from tackside.colour.hull import hull_planes, hull_volume_and_slopes
from tackside.colour.spaces import (
    RGB_SPACES,
    WHITE_D50,
    compensate,
    lab_to_xyz,
    relative_lightness,
    rgb_to_lab,
    xyz_to_lab,
)
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Measure
from tackside.verdict.measures.measure import (
    COLOUR_NAMES,
    JUST_VISIBLE,
    UNCOATED_CHROMA,
    VOLUME_UNIT,
    chroma_sd,
    drawn_sd,
    near_neutral_aim,
    volume_sd,
)
from tackside.verdict.measures.patch_table import Floats, PatchTable

# A cube of fewer levels shows too little of what lies between its corners; the hues take one more.
LEAST_LEVELS, LEAST_LEVELS_FOR_HUES = 3, 4
# Hue angles of the solids of offset printing, in degrees (docs/sources.md, S28). Paths that keep a file's own hues show
# its cyan at 200: a colour has the hue that is nearest to its own, so that none falls between two.
HUE_ANGLES = {"c": 233.0, "m": 358.0, "y": 94.0, "r": 35.0, "g": 160.0, "b": 297.0}
# Colours that the card surely holds: those whose aim lies in the hull of what it shows, this much of the way out from
# the middle of its greys; with a chroma to speak of, and enough of them.
_WELL_INSIDE, _LEAST_CHROMA, _LEAST_COUNT = 0.9, 8.0, 5


def cube_levels(table: PatchTable) -> int:
    """How many levels a channel the cube has that was read; 0 where none was."""
    if table.rgb is None:
        return 0
    grid = largest_grid(table.rgb, table.lab, fewest_levels=LEAST_LEVELS)
    return 0 if grid is None else min(len(levels) for levels in grid.levels)


def path_measures(table: PatchTable, space: Space, levels: int) -> dict[str, Measure]:
    """``path_gamut``, ``path_hue``, ``path_chroma``, ``path_greys`` and ``path_shadows`` of a file in ``space``, as far
    as the patches for them were read; ``levels``: of its cube (``cube_levels``).
    """
    found = _greys(table) | _shadows(table)
    if levels >= LEAST_LEVELS:
        found |= _gamut(table) | _chroma(table, space)
    if levels >= LEAST_LEVELS_FOR_HUES:
        found |= _weakest_hue(table)
    return found


def _gamut(table: PatchTable) -> dict[str, Measure]:
    """The convex hull of all patches."""
    volume, _ = hull_volume_and_slopes(table.lab)
    if volume <= 0:
        return {}
    sd = volume_sd(table, volume, np.arange(len(table.lab)))
    method = f"convex hull of all {len(table.lab)} patches"
    return {"path_gamut": Measure(value=volume, unit=VOLUME_UNIT, sd=sd, method=method)}


def hue_shares(lab: Floats) -> dict[str, tuple[float, int]]:
    """Of each of six hues the greatest chroma among colours (n, 3), as a share of UNCOATED_CHROMA, and its row."""
    hue, chroma = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])), np.hypot(lab[:, 1], lab[:, 2])
    off = np.abs((hue[:, None] - np.array(list(HUE_ANGLES.values())) + 180) % 360 - 180)
    nearest = off.argmin(axis=1)
    found = {}
    for place, name in enumerate(HUE_ANGLES):
        inside = np.where(nearest == place, chroma, 0.0)
        row = int(np.argmax(inside))
        found[name] = (float(inside[row]) / UNCOATED_CHROMA[name], row)
    return found


def _weakest_hue(table: PatchTable) -> dict[str, Measure]:
    """The least of ``hue_shares``. A path may show the solid of a space paler than a darker tone of the same hue, so
    all patches count.
    """
    shares = hue_shares(table.lab)
    weakest = min(shares, key=lambda name: shares[name][0])
    share, row = shares[weakest]
    usual = UNCOATED_CHROMA[weakest]
    sd = float(chroma_sd(share * usual, table.noise[row], table.de00)) / usual
    return {"path_hue": Measure(value=share, unit="share", sd=sd, method=COLOUR_NAMES[weakest])}


def _chroma(table: PatchTable, space: Space) -> dict[str, Measure]:
    """The chroma of colours that the card holds, along the hue of their aims, as a share of what was aimed at.

    The aim is the file's colour on this paper, relative colorimetric, the black point compensated to the print's own
    black (ISO 18619). Of colours inside its gamut a path shows the aim; a perceptual table may take some chroma away.
    """
    if table.rgb is None:
        return {}
    paper, black = table.lab[table.paper], table.lab[table.black]
    planes = hull_planes(table.lab)
    no_paper = paper[0] <= black[0] or bool(np.any(lab_to_xyz(np.stack([paper, black])) <= 0))
    if planes is None or no_paper:
        return {}
    relative = compensate(rgb_to_lab(table.rgb, RGB_SPACES[space]), relative_lightness(black, paper))
    aim = xyz_to_lab(lab_to_xyz(relative) * (lab_to_xyz(paper) / WHITE_D50))
    middle = np.array([(paper[0] + black[0]) / 2, 0.0, 0.0])
    out = middle + (aim - middle) / _WELL_INSIDE
    aimed = np.hypot(aim[:, 1], aim[:, 2])
    held = np.all(out @ planes[:, :3].T + planes[:, 3] <= 0, axis=1) & (aimed >= _LEAST_CHROMA)
    if held.sum() < _LEAST_COUNT:
        return {}
    shown = np.sum(table.lab[held, 1:] * aim[held, 1:], axis=1) / aimed[held]
    share = float(shown.sum() / aimed[held].sum())
    shared = float(chroma_sd(aimed[held].mean(), 0.0, table.de00)) / float(aimed[held].mean())
    own = float(np.sqrt(np.sum(table.noise[held] ** 2) / 3)) / float(aimed[held].sum())
    method = f"{held.sum()} colours that the card holds, beside their aims"
    return {
        "path_chroma": Measure(
            value=max(share, 0.0), unit="share", sd=float(np.hypot(shared, own)), method=method
        )
    }


def _greys(table: PatchTable) -> dict[str, Measure]:
    """Mean ΔCh of the greys from whatever lies between the near-neutral aim and no tint at all.

    Absolute colorimetric leaves greys neutral on any paper, relative gives them the paper's tint, and perceptual
    tables do either or something between.
    """
    ramp = table.greys
    if ramp is None:
        return {}
    inked = ramp.value < 1 - 1e-6
    lab, noise = table.lab[ramp.rows][inked], table.noise[ramp.rows][inked]
    aim = near_neutral_aim(lab[:, 0], table.lab[table.paper], float(table.lab[table.black, 0]))
    along = np.clip(np.sum(lab[:, 1:] * aim, axis=1) / np.maximum(np.sum(aim * aim, axis=1), 1e-12), 0.0, 1.0)
    off = np.hypot(*(lab[:, 1:] - along[:, None] * aim).T)
    shared = float(chroma_sd(0.0, 0.0, table.de00))
    sd = float(np.hypot(shared, np.sqrt(np.sum(noise**2) / 3) / len(noise)))
    return {"path_greys": Measure(value=float(off.mean()), unit="ΔCh", sd=sd, method=ramp.of)}


def _shadows(table: PatchTable) -> dict[str, Measure]:
    """The number of the grey, 0 to 1, at which the print leaves black, between the steps that were printed."""
    ramp = table.greys
    if ramp is None:
        return {}
    value, lightness = ramp.value, table.lab[ramp.rows, 0]
    noise = table.noise[ramp.rows] / np.sqrt(3)
    sd = drawn_sd(lambda light: leaves_black_at(value, light, noise), lightness, noise)
    at = leaves_black_at(value, lightness, noise)
    return {"path_shadows": Measure(value=at, unit="device", sd=sd, method=f"{ramp.of}, between steps")}


def leaves_black_at(value: Floats, lightness: Floats, noise: Floats) -> float:
    """Where a ramp (n,) from black to white is first visibly, and surely, lighter than its black; 1 if nowhere.

    ``value``: its numbers, 0 to 1. The lightness that is looked for is met on the straight line between two steps.
    """
    rise = np.maximum(JUST_VISIBLE, 2 * np.hypot(noise, noise[0]))
    risen = lightness - lightness[0] - rise
    rows = np.flatnonzero(risen >= 0)
    rows = rows[rows > 0]
    if not rows.size:
        return float(value[-1])
    there = int(rows[0])
    below, above = min(float(risen[there - 1]), 0.0), float(risen[there])
    part = -below / (above - below) if above > below else 1.0
    return float(value[there - 1] + part * (value[there] - value[there - 1]))
