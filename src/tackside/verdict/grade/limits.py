"""The limits that depend on what was printed: on the stock's base and surface, and on the path's intent.

A path sheet is held against what a good path shows of its very colours on a card at the limit for device sheets.
How paths differ in that was calculated by ``training/path_limits`` from open data (docs/sources.md, S101 and S102).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.colour.spaces import RGB_SPACES, lab_to_xyz, xyz_to_lab
from tackside.records.sheet_plan import Space
from tackside.verdict.known_print import Printed
from tackside.verdict.measures.measure import JUST_VISIBLE

Limits = tuple[float, float, float]
Way = Literal["clipped", "compressed", "any"]


@dataclass(frozen=True)
class Shown:
    """How the span of a card's own corners compares with the hull of what a path shows of a sheet on it.

    ``times``: the first over the second, the geometric mean over ways to bring colours into gamut and over gamuts;
    ``spread``: one standard uncertainty of its natural logarithm.
    """

    times: float
    spread: float


# For a cube of four levels; S101. "clipped": colorimetric intents; "compressed": perceptual and saturation.
SHOWN: dict[tuple[Space, Way], Shown] = {
    ("srgb", "clipped"): Shown(1.135, 0.062),
    ("srgb", "compressed"): Shown(1.353, 0.099),
    ("srgb", "any"): Shown(1.239, 0.121),
    ("adobe-rgb", "clipped"): Shown(1.063, 0.078),
    ("adobe-rgb", "compressed"): Shown(1.231, 0.114),
    ("adobe-rgb", "any"): Shown(1.144, 0.122),
}
# How much more a finer cube shows of the same gamut, beside one of four levels; S101.
FINER = {3: 0.85, 4: 1.0, 5: 1.07, 6: 1.11, 7: 1.13, 8: 1.15, 9: 1.16}
# GUM, 6.2.1 and 6.3.3: an expanded uncertainty, at a level of confidence of about 95 %.
COVERAGE = 2.0

# The least share of the hue that a good path shows weakest, S102: between what it shows on a card at the limits of
# the gamut rule, and no colour at all.
HUE_SHARES: dict[Space, Limits] = {"srgb": (0.45, 0.3, 0.15), "adobe-rgb": (0.55, 0.4, 0.2)}
# The chroma of colours that the card holds, beside what the file asks for, at least: colorimetric intents show 0.95 or
# more of it, numbers of a wide space read as those of a narrow one 0.8 to 0.9 (S102).
CHROMA_SHARES: Limits = (0.9, 0.6, 0.4)
# Where no cube was read, the solids alone have to do, and they tell little (S102).
CORNERS: Limits = (120e3, 80e3, 45e3)
SOLIDS: Limits = (0.25, 0.1, 0.05)

# Black by the stock, L* at most (docs/sources.md, S26, S27 and S103).
ANY_BLACK: Limits = (20.0, 25.0, 32.0)
PHOTO_BLACK: Limits = (17.0, 25.0, 32.0)
GLOSS_BLACK: Limits = (10.0, 20.0, 32.0)
# Of the light of white, the least that strays onto blacks in a flatbed: one to four hundredths do (common practice, no
# source; docs/sources.md, S150). So a black was at least by this much deeper than it was read.
LEAST_STRAY = 0.01
# What is left of the hull of a card's colours, at the limit of ``send``, once that light lies over them (S205).
LEFT_BY_STRAY = 0.90
# A paper white of ISO 12647-2, the darkest, and that less its tolerance (S29).
_WHITE, _DARKEST_WHITE = 88.0, 85.0

# The first grey told from black, where black is led to the card's (S104).
COMPENSATED: Limits = (0.10, 0.16, 0.24)


def black_limits(printed: Printed) -> Limits:
    """L* of black, at most. Of a ``lifted`` one ``send`` allows for the least light that strays."""
    limits = ANY_BLACK
    if printed.base == "photo" and printed.surface != "matt":
        limits = GLOSS_BLACK if printed.surface == "gloss" else PHOTO_BLACK
    if not printed.lifted:
        return limits
    sell, send, draft = limits
    return sell, min(lifted(send), draft), draft


def lifted(black_l: float) -> float:
    """L* of a black once LEAST_STRAY lies over it, to a tenth."""
    light = lab_to_xyz([black_l, 0.0, 0.0])
    return round(float(xyz_to_lab(light + LEAST_STRAY * lab_to_xyz([100.0, 0.0, 0.0]))[0]), 1)


def under_stray_light(limits: Limits, printed: Printed) -> Limits:
    """Limits of a hull, at least. Of a ``lifted`` print's, ``send`` allows for the least light that strays over it."""
    if not printed.lifted:
        return limits
    sell, send, draft = limits
    return sell, max(round(LEFT_BY_STRAY * send, -3), draft), draft


def range_limits(printed: Printed) -> Limits:
    """L* from paper to black, at least: the darkest paper white over the limits of black."""
    sell, send, draft = (_DARKEST_WHITE - black for black in black_limits(printed))
    return sell, send, draft


def shadow_limits(printed: Printed) -> Limits:
    """The number of the first grey told from black, at most.

    A path without compensation shows nothing below the card's black. That costs a grade: ``send`` allows what is
    hidden by a black that allows ``sell``, and ``draft`` what is hidden by one that allows ``send``.
    """
    sell, send, draft = COMPENSATED
    if printed.held_to_open_shadows:
        return COMPENSATED
    black = black_limits(printed)
    return sell, max(send, hidden_by(black[0], printed.space)), max(draft, hidden_by(black[1], printed.space))


def hidden_by(black_l: float, space: Space) -> float:
    """The number, 0 to 1, of the grey that comes out just above a black of this L*, nothing led to it.

    One L* above it, media-relative, is just visible (S32).
    """
    beside_white = lab_to_xyz([black_l, 0.0, 0.0]) / lab_to_xyz([_WHITE, 0.0, 0.0])[1]
    seen = lab_to_xyz([float(xyz_to_lab(beside_white)[0]) + JUST_VISIBLE, 0.0, 0.0])[1]
    return round(float(RGB_SPACES[space].encode(np.array(seen))), 3)


def way_of(printed: Printed) -> Way:
    """How the intent that was noted brings colours into gamut."""
    if printed.intent is None:
        return "any"
    return "clipped" if printed.intent in ("relative", "absolute") else "compressed"


def coating_shown(black_l: float | None) -> float:
    """How far a black shows a coating: 1 where it allows ``sell`` on any card, 0 where cards with none reach it.

    In between it falls evenly, so that a scanner's stray light does not make another card of a print at once.
    """
    sell, send, _ = ANY_BLACK
    return 1.0 if black_l is None else float(np.clip((send - black_l) / (send - sell), 0.0, 1.0))


def gamut_limits(printed: Printed, device: Limits, *, coated: float) -> Limits:
    """The hull of what a path shows, at least, by the limits for a card's own corners.

    ``sell`` asks for what paths show on the average. ``send`` and ``draft`` allow for what good paths differ in, but
    only as far as the card's black shows a coating (``coated``, 0 to 1); others are held to what colorimetric intents
    show on the average.
    """
    way = way_of(printed)
    strict = SHOWN[printed.space, "clipped"].times
    usual = _between(strict, SHOWN[printed.space, way].times, coated)
    widest = SHOWN[printed.space, "compressed" if way == "any" else way]
    least = _between(strict, widest.times * float(np.exp(COVERAGE * widest.spread)), coated)
    finer = FINER[min(max(printed.levels, min(FINER)), max(FINER))]
    sell, send, draft = (
        float(round(limit / divisor * finer, -3))
        for limit, divisor in zip(device, (usual, least, least), strict=True)
    )
    return sell, send, draft


def _between(one: float, other: float, part: float) -> float:
    return float(one ** (1.0 - part) * other**part)
