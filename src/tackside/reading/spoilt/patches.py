"""Patches that no print can show: red and blue exchanged in the file, and parts that are bare though they can't be.

Exchanged channels are told from ink exchanged in the printer: inks take from green what they take, whatever the file
calls its channels. The yellow patches are light in green and the cyan ones darker. Exchange the channels of the file,
and the yellow patch shows as a cyan that is as light in green as yellow: no ink is that. Exchange the inks, and it
shows as cyan ink does.

Over bare parts something lies, or the file was cut and filled. A missing ink leaves patches bare, too. But a patch that
is asked for with no less of any ink than another (its numbers are no higher in any channel) is hardly bare where that
other one shows ink. Hardly, since a profile mixes inks as it likes: it may lay magenta alone for a pink, and a little
yellow for a lighter one. So such patches tell of a cover where all that lies among them is bare, and their hues are
more than a missing ink takes.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import SRGB, Floats, rgb_to_lab
from tackside.reading.scan.geometry.mapping import median
from tackside.reading.scan.image_file import Pixels
from tackside.records import Patch

# Levels of 1: how far a pair of patches must go the wrong way round, and how many pairs there must be.
CLEARLY, FEWEST_SPEAKING = 0.06, 3


def exchanged(patches: Sequence[Patch], numbers: Floats) -> float:
    """0 to 1: the share of pairs of patches that speak for exchanged channels, less those that speak against.
    ``numbers`` (n, 3), 0 to 1: the file's, of the patches.

    A pair has red and blue asked for the other way round and green alike: (r, g, b) and (b, g, r).
    """
    by_rgb = {tuple(round(each, 3) for each in patch.rgb): number for number, patch in enumerate(patches)}
    speaks = []
    for (red, green, blue), number in by_rgb.items():
        other = by_rgb.get((blue, green, red))
        if other is None or red - blue < 0.3:
            continue
        # The first asks for more red than blue: yellow, orange, red; its fellow for cyan, blue.
        warm, cold = numbers[number], numbers[other]
        turned = (warm[2] - warm[0]) + (cold[0] - cold[2])
        if abs(turned) < CLEARLY:
            continue
        # Of inks, the warm one of a pair leaves more green than the cold one: yellow more than cyan, red more than
        # blue.
        speaks.append((turned > 0, warm[1] - cold[1]))
    if len(speaks) < FEWEST_SPEAKING:
        return 0.0
    wrong = float(np.mean([1.0 if one else -1.0 for one, _ in speaks]))
    # With inks exchanged green goes the other way round with the rest.
    ink = float(median(np.array([green for _, green in speaks])))
    return max(wrong, 0.0) if ink > 0 else 0.0


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
    card = median(lab[white], axis=0)
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
    top = int(np.iinfo(rows.dtype).max)
    at_end = cv2.inRange(rows, (top, top, top), (top, top, top)) // 255
    if not at_end.any():
        return 0.0
    height = max(int(PAINTED_MM[0] * down_per_mm), 2)
    kernel = np.ones((height, max(int(PAINTED_MM[1] * across_per_mm), 8)), np.uint8)
    return float(cv2.morphologyEx(at_end, cv2.MORPH_OPEN, kernel).mean())
