"""Each patch as it was meant and as it came out, ready for the screen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import (
    RGB_SPACES,
    SRGB,
    Floats,
    lab_to_xyz,
    rgb_to_xyz_d50,
    xyz_d50_to_rgb,
    xyz_to_lab,
)
from tackside.report.entry import Entry

# A colour that misses sRGB by less than half a step of 8 bits is not called outside.
OUTSIDE_SLACK = 0.5 / 255

NEUTRAL_ROLES = {"grey", "white", "black", "shadow", "highlight", "solid-k", "ramp-k"}
HUES = {"c": "Cyan", "m": "Magenta", "y": "Yellow", "r": "Red", "g": "Green", "b": "Blue"}


@dataclass(frozen=True)
class PatchPair:
    """One patch. ``aim`` and ``print`` are screen colours ``#rrggbb``; ``aim`` is None on sheets of bare
    numbers.

    ``rows`` are the rows of the drawing in which it serves."""

    name: str
    rows: tuple[str, ...]
    rgb: tuple[float, float, float]
    print_lab: tuple[float, float, float]
    aim: str | None
    print: str
    de00: float | None


@dataclass(frozen=True)
class PatchPairs:
    """All patches with device numbers, in rows for the eye; ``outside`` counts the prints beyond sRGB."""

    pairs: tuple[PatchPair, ...]
    outside: int
    de00_median: float | None
    de00_p95: float | None


def patch_table(entry: Entry) -> PatchPairs:
    """Pair aim and print. The aim is the file's colour on this card's own white (media-relative
    colorimetric).

    Its XYZ is that of the source space scaled by the paper's XYZ, so that an unprinted patch meets its aim.
    """
    read = [patch for patch in entry.reading.patches if patch.rgb is not None]
    if not read:
        return PatchPairs((), 0, None, None)
    rgb = np.array([patch.rgb for patch in read])
    lab = np.array([patch.lab for patch in read])
    shown, outside = to_screen(lab)
    aims = _aim_lab(entry, rgb, lab)
    aim_shown = to_screen(aims)[0] if aims is not None else [None] * len(read)
    difference = delta_e_2000(aims, lab) if aims is not None else None
    rows = _rows(entry)
    pairs = tuple(
        PatchPair(
            name=patch.name,
            rows=rows.get(patch.name) or (_row_by_numbers(patch.rgb or (0.0, 0.0, 0.0)),),
            rgb=patch.rgb or (0.0, 0.0, 0.0),
            print_lab=patch.lab,
            aim=aim_shown[i],
            print=shown[i],
            de00=None if difference is None else float(difference[i]),
        )
        for i, patch in enumerate(read)
    )
    if difference is None:
        return PatchPairs(pairs, outside, None, None)
    return PatchPairs(pairs, outside, float(np.median(difference)), float(np.percentile(difference, 95)))


def to_screen(lab: Floats) -> tuple[list[str], int]:
    """Lab (n, 3) as sRGB hexadecimals, clipped where sRGB lacks the colour, and how many were."""
    rgb = xyz_d50_to_rgb(lab_to_xyz(lab), SRGB)
    outside = np.any((rgb < -OUTSIDE_SLACK) | (rgb > 1 + OUTSIDE_SLACK), axis=-1)
    steps = np.rint(np.clip(rgb, 0, 1) * 255).astype(int)
    return [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in steps], int(np.count_nonzero(outside))


def paper_of(rgb: Floats, lab: Floats) -> Floats:
    """Lab (3,) of the patch that asked for white, or of the lightest where none did."""
    white = np.all(rgb >= 1 - 1e-6, axis=1)
    return np.asarray(lab[white].mean(axis=0) if white.any() else lab[np.argmax(lab[:, 0])])


def _aim_lab(entry: Entry, rgb: Floats, lab: Floats) -> Floats | None:
    space = entry.trial.sheet.space
    if space is None:
        return None
    paper = lab_to_xyz(paper_of(rgb, lab))
    white = rgb_to_xyz_d50(np.ones(3), RGB_SPACES[space])
    return xyz_to_lab(rgb_to_xyz_d50(rgb, RGB_SPACES[space]) * (paper / white))


def _rows(entry: Entry) -> dict[str, tuple[str, ...]]:
    """The rows in which each patch of the sheet serves, by its roles; one colour may serve in several."""
    found: dict[str, tuple[str, ...]] = {}
    for patch in entry.trial.sheet.patches:
        roles = set(patch.roles)
        rows = ["Greys"] if roles & NEUTRAL_ROLES else []
        rows += [hue for ink, hue in HUES.items() if roles & {f"solid-{ink}", f"ramp-{ink}"}]
        found[patch.name] = tuple([*rows, "Cube"] if "cube" in roles else rows or ["Others"])
    return found


def _row_by_numbers(rgb: tuple[float, float, float]) -> str:
    return "Greys" if max(rgb) - min(rgb) < 1e-6 else "Others"
