"""A second kind of printer to train on: one that renders colours of the file, instead of turning numbers into inks.

A path through good profiles shows sRGB's own colours, pressed between paper and black and into what the card holds.
Its faults are drawn by the verdict's forward models, which know nothing of the press.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tackside.colour.rgb_spaces import SRGB, rgb_to_lab
from tackside.colour.spaces import Floats
from tackside.press.printer.stock_model import StockModel
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.classifier.features import SAMPLED_AT
from tackside.verdict.model.path_faults import convert, draw
from tackside.verdict.model.tone_response import CORNERS, shares

# The press's overprints in the order of CORNERS: red is magenta and yellow, and so on; black is the darkest.
_OVERPRINTS = (-1, 6, 5, 4, 3, 2, 1, 0)
_PAPER_FADE = 0.85  # docs/sources.md, S33


@dataclass(frozen=True)
class Style:
    """``by_inks``: share of what solids carry between them, the rest being sRGB's own colour; ``hold``: share of its
    chroma that a coated card shows, ``bare_hold`` a bare one; ``turn_deg``: how far hues are turned, by corner."""

    by_inks: float
    hold: float
    bare_hold: float
    turn_deg: tuple[float, ...]


def style(rng: np.random.Generator) -> Style:
    hold = float(rng.uniform(0.3, 1.05))
    turns = tuple(float(turn) for turn in rng.normal(0, 4, 8))
    return Style(float(rng.choice([rng.random(), 0.0])), hold, float(hold * rng.uniform(0.4, 0.8)), turns)


@dataclass(frozen=True, eq=False)
class Rendered:
    """What a printer of this style shows on ``stock``, for sRGB numbers."""

    stock: StockModel
    style: Style
    space: Space = "srgb"

    @cached_property
    def corners(self) -> Floats:
        return self.lab(CORNERS)

    def lab(self, numbers: Floats) -> Floats:
        """CIELAB (..., 3) of numbers (..., 3), 0 to 1."""
        solids = self.stock.overprints_lab[list(_OVERPRINTS)]
        paper, black = solids[-1], solids[0]
        held = shares(numbers)
        own = rgb_to_lab(np.clip(numbers, 0.0, 1.0), SRGB)
        depth = 1.0 - own[..., :1] / 100.0
        turn = np.radians(held @ np.array(self.style.turn_deg))
        a, b = own[..., 1], own[..., 2]
        hold = self.style.hold if self.stock.takes_ink else self.style.bare_hold
        turned = hold * np.stack(
            [a * np.cos(turn) - b * np.sin(turn), a * np.sin(turn) + b * np.cos(turn)], -1
        )
        lightness = paper[0] - depth * (paper[0] - black[0])
        shown = np.concatenate([lightness, turned + paper[1:] * (1.0 - _PAPER_FADE * depth)], axis=-1)
        return np.asarray(self.style.by_inks * (held @ solids) + (1.0 - self.style.by_inks) * shown)


def faulty(
    cause: Cause, response: Rendered, space: Space, numbers: Floats | None, rng: np.random.Generator
) -> Floats:
    """CIELAB at SAMPLED_AT under the fault, one of its variants at random; ``numbers``: moved ones, for "unknown"."""
    if numbers is not None:
        return response.lab(convert(numbers, space, "srgb"))
    if cause == "none":
        return response.lab(convert(SAMPLED_AT, space, "srgb"))
    drawn = draw(response, SAMPLED_AT, space, path=True)
    places = np.array([place for place, each in enumerate(drawn.causes) if each == cause])
    chances = np.exp(drawn.log_shares[places])
    return np.asarray(drawn.lab[rng.choice(places, p=chances / chances.sum())])
