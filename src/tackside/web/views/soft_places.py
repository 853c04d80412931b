"""Where the soft colours of a sheet lie in its cube, drawn in the colours that the file asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.rgb_spaces import RGB_SPACES, rgb_to_lab
from tackside.reading.soft_colours import Hue, soft_patches
from tackside.records import SheetPlan
from tackside.report.patches import to_screen
from tackside.units import Box

_HUES: tuple[Hue, ...] = ("cyans", "reds")


@dataclass(frozen=True)
class SoftPlaces:
    """The patches around and of the soft colours of one hue, mm on the sheet. ``around``: what the drawing shows;
    ``patches``: each with its colour on screen, ``#rrggbb``; ``marked``: the soft ones."""

    around: Box
    patches: tuple[tuple[Box, str], ...]
    marked: tuple[Box, ...]


def soft_of(sheet: SheetPlan) -> dict[str, SoftPlaces]:
    """By the field of the question; only what the sheet has, and beside the screen only where its file has a space."""
    found = {}
    cube = [patch for patch in sheet.patches if {"cube", "near-grey"} & set(patch.roles)]
    for hue in _HUES:
        soft = soft_patches(sheet, hue)
        if not soft:
            continue
        near = [patch for patch in cube if patch.panel == soft[0].panel]
        numbers = np.array([patch.rgb for patch in near])
        colours, _ = to_screen(rgb_to_lab(numbers, RGB_SPACES[sheet.space or "srgb"]))
        places = SoftPlaces(
            _around([patch.box_mm for patch in near]),
            tuple((patch.box_mm, colour) for patch, colour in zip(near, colours, strict=True)),
            tuple(patch.box_mm for patch in soft),
        )
        found[f"soft_{hue}_beside_good"] = places
        if sheet.space is not None:
            found[f"soft_{hue}_beside_screen"] = places
    return found


def _around(boxes: list[Box]) -> Box:
    left, top = min(box.x for box in boxes), min(box.y for box in boxes)
    return Box(
        left - 1.0,
        top - 1.0,
        max(box.right for box in boxes) - left + 2.0,
        max(box.bottom for box in boxes) - top + 2.0,
    )
