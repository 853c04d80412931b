"""Parts of the print that show as bare though they can't be: something lies over them, or the file was cut and filled.

A missing ink leaves patches bare, too. But a patch that is asked for with no less of any ink than another (its
numbers are no higher in any channel) is hardly bare where that other one shows ink. Hardly, since a profile mixes inks
as it likes: it may lay magenta alone for a pink, and a little yellow for a lighter one. So such patches tell of a cover
where all that lies among them is bare, and their hues are more than a missing ink takes.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.rgb_spaces import SRGB, rgb_to_lab
from tackside.colour.spaces import Floats
from tackside.reading.scan.image_file import Pixels
from tackside.records import Patch

# ΔE*ab from bare card (or beyond it, from the file's white): bare, and plainly inked.
BARE, INKED = 5.0, 14.0
# How much more than the other's a patch asks for in some channel.
MORE = 0.15
# Of 424 prints by two CMYK profiles of others from which one or two inks were taken, none has such patches of hues over
# more than WITHIN_DEG, or of hues and greys, with the share AMONG of all patches between them bare; of white over an
# eighth of a sheet nine in ten are told so (docs/sources.md, S206).
AMONG, WITHIN_DEG = 0.9, 60.0
ASKED = 0.85  # the most of the least number of a patch that asks for ink at all
GREY = 15.0  # CIELAB chroma of what has no hue to speak of
FEWEST = 3  # patches of hues and greys


def bare_by_force(patches: Sequence[Patch], lab: Floats) -> NDArray[np.bool_]:
    """Which patches (n,) show as bare though one that is asked for lighter in each channel shows ink, where no missing
    ink explains it. ``lab`` (n, 3).
    """
    asked = np.array([patch.rgb for patch in patches]).reshape(-1, 3)
    none = np.zeros(len(asked), np.bool_)
    white = np.flatnonzero(asked.min(axis=1, initial=1.0) >= 1.0)
    if not len(white) or len(asked) < 8:
        return none
    card = np.median(lab[white], axis=0)
    # As bare as card, or whiter than it, as the white of a file or of another sheet is.
    off = np.hypot(np.hypot(lab[:, 1] - card[1], lab[:, 2] - card[2]), np.minimum(lab[:, 0] - card[0], 0.0))
    bare, inked = off <= BARE, off >= INKED
    lighter = np.all(asked[None, inked] >= asked[:, None] - 1e-6, axis=2)
    plainly = lighter & (np.max(asked[None, inked] - asked[:, None], axis=2) >= MORE)
    forced = bare & (plainly.sum(axis=1) >= 2)
    if not forced.any() or not _are_of_many_inks(asked[forced]):
        return none
    among = _among(np.array([patch.box_mm.centre for patch in patches]), forced)
    return forced if bare[among & (asked.min(axis=1) < ASKED)].mean() >= AMONG else none


def _are_of_many_inks(asked: Floats) -> bool:
    """Whether these numbers (n, 3) are of more hues than what is bare for want of an ink, or of hues and greys."""
    lab = rgb_to_lab(asked, SRGB)
    coloured = np.hypot(lab[:, 1], lab[:, 2]) >= GREY
    if not coloured.all() and coloured.any():
        return len(asked) >= FEWEST
    if coloured.sum() < 2:
        return False
    hues = np.sort(np.degrees(np.arctan2(lab[:, 2], lab[:, 1])))
    gaps = np.diff(np.append(hues, hues[0] + 360.0))
    return bool(360.0 - gaps.max() > WITHIN_DEG)


def _among(centres: Floats, some: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which places (n, 2) lie in the upright box round some of them."""
    low, high = centres[some].min(axis=0), centres[some].max(axis=0)
    return np.asarray(((centres >= low) & (centres <= high)).all(axis=1))


# A halo along a long edge is as long as that, but not as high.
PAINTED_MM = (3.0, 6.0)  # down, across


def painted_white(rows: Pixels, down_per_mm: float, across_per_mm: float) -> float:
    """The share, 0 to 1, of pixels (rows, columns, 3) in areas at the very end of every channel, each at least
    ``PAINTED_MM`` large.
    """
    at_end = np.all(rows == np.iinfo(rows.dtype).max, axis=2).astype(np.uint8)
    height = max(int(PAINTED_MM[0] * down_per_mm), 2)
    kernel = np.ones((height, max(int(PAINTED_MM[1] * across_per_mm), 8)), np.uint8)
    return float(cv2.morphologyEx(at_end, cv2.MORPH_OPEN, kernel).mean())
