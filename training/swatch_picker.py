"""An invented person at an invented screen, who picks the swatch that looks like a patch (``reading.swatches``).

What is stated here is all there is to it. A print lit by a room and a screen that glows are two media: each is seen
beside its own white, to which the eye adapts for the most part. A screen has one tone, one strength, one white and one
way with hues for all its swatches; a person errs in one way all through a form, and in another at each patch. Figures
are this project's own estimates; that media side by side are matched several times as roughly as prints are is common
experience.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tackside.colour.spaces import Floats, lab_to_lch, lch_to_lab
from tackside.reading.swatches import (
    MATCHED,
    STEPS,
    Matched,
    asked_for,
    is_shown,
    matched_patch,
    swatch,
)
from tackside.records import SheetPlan
from training.prints import plan_of
from training.teacher.device import relative

_STEPS = range(-STEPS, STEPS + 1)
# Kinds of screen and how often each is at hand: a laptop's, a telephone's, one on a desk; the middle of its strength as
# a share of chroma, and how much that varies, as a share.
_KINDS = ((0.35, 0.80, 0.13), (0.40, 1.05, 0.11), (0.25, 1.00, 0.08))
# How the weight of a chroma, and of a hue, falls with chroma (CIE 116-1995: SC and SH).
_CHROMA, _HUE = 0.045, 0.015


@dataclass(frozen=True)
class Screen:
    """What a screen makes of the colours it is sent; as it stands here, nothing.

    ``tone``: how much too light the middle is, L*; ``haze``: how light its black is, L*, by what the room throws on it;
    ``strength``: share of chroma; ``white`` (2,): a*, b* of its white; ``turn``: degrees by which it turns all hues,
    and ``swing`` those at hue ``at``, and those across from it as far the other way.
    """

    tone: float = 0.0
    haze: float = 0.0
    strength: float = 1.0
    white: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    swing: float = 0.0
    at: float = 0.0

    @classmethod
    def anybodys(cls, rng: np.random.Generator) -> Screen:
        """A screen as somebody happens to have one."""
        _, strength, varies = _KINDS[rng.choice(len(_KINDS), p=[kind[0] for kind in _KINDS])]
        return cls(
            tone=float(rng.normal(0.0, 3.5)),
            haze=float(abs(rng.normal(0.0, 2.0))),
            strength=float(strength * np.exp(varies * rng.standard_normal())),
            white=(float(rng.normal(0.0, 2.0)), float(rng.normal(-1.0, 5.0))),
            turn=float(rng.normal(0.0, 3.0)),
            swing=float(rng.normal(0.0, 3.0)),
            at=float(rng.uniform(0.0, 360.0)),
        )

    def shows(self, lab: Floats) -> Floats:
        """CIELAB (n, 3) beside its own white of the colours (n, 3) that it is sent."""
        lightness, chroma, hue = np.moveaxis(lab_to_lch(lab), -1, 0)
        part = lightness / 100.0
        lightness = lightness + 4.0 * self.tone * part * (1.0 - part)
        lightness = self.haze + (1.0 - self.haze / 100.0) * lightness
        turned = hue + self.turn + self.swing * np.cos(np.radians(hue - self.at))
        return np.asarray(lch_to_lab(np.stack([lightness, self.strength * chroma, turned], axis=-1)))


@dataclass(frozen=True)
class Picker:
    """A person who picks; as it stands here, one without any error.

    Standard deviations of ``lightness``, L*, ``strength``, share of chroma, and ``hue``, degrees: of each patch, and,
    in ``shared``, of all patches of one form. ``adapted``: to the whites, 1 wholly. ``light_counts``: how much a
    difference of lightness counts beside others. ``wrong``: the share of picks that slip by a swatch or two.
    """

    lightness: float = 0.0
    strength: float = 0.0
    hue: float = 0.0
    shared: tuple[float, float, float] = (0.0, 0.0, 0.0)
    adapted: float = 1.0
    light_counts: float = 1.0
    wrong: float = 0.0

    @classmethod
    def anybody(cls, rng: np.random.Generator) -> Picker:
        """Somebody, more careful or less."""
        care = np.exp(0.45 * rng.standard_normal())
        own = care * np.exp(0.25 * rng.standard_normal(3))
        return cls(
            lightness=float(3.5 * own[0]),
            strength=float(0.13 * own[1]),
            hue=float(6.0 * own[2]),
            shared=(float(3.0 * care), float(0.1 * care), float(3.0 * care)),
            adapted=float(rng.uniform(0.6, 1.0)),
            light_counts=float(np.exp(0.3 * rng.standard_normal())),
            wrong=float(rng.uniform(0.01, 0.07)),
        )


@dataclass(frozen=True, eq=False)
class Grid:
    """The swatches of one patch: its number and the colour that it asks for, CIELAB; ``steps`` (m, 2) lighter and
    stronger with their ``colours`` (m, 3), and ``turns`` (k,) with theirs (k, 3); those alone that a screen shows."""

    number: tuple[float, float, float]
    asked: Floats
    steps: tuple[tuple[int, int], ...]
    colours: Floats
    turns: tuple[int, ...]
    turned: Floats


@dataclass(frozen=True)
class AtScreen:
    """A person at a screen, and the swatches of the sheet in hand."""

    screen: Screen
    who: Picker
    grids: Mapping[Matched, Grid]


@lru_cache(maxsize=8)
def grids_of(space: str, size_mm: tuple[int, int]) -> dict[Matched, Grid]:
    """The swatches of a sheet of this size, by what is matched; those that it has."""
    return grids(plan_of(space, size_mm))


def grids(plan: SheetPlan) -> dict[Matched, Grid]:
    """The swatches of a sheet, by what is matched; those that it has."""
    found: dict[Matched, Grid] = {}
    for what in MATCHED:
        patch = matched_patch(plan, what)
        if patch is None:
            continue
        own = asked_for(plan, patch)
        strengths = (0,) if what == "greys" else _STEPS
        two = [
            (light, strong)
            for light in _STEPS
            for strong in strengths
            if is_shown(swatch(own, light, strong))
        ]
        turns = [turn for turn in _STEPS if is_shown(swatch(own, turned=turn))]
        found[what] = Grid(
            patch.rgb,
            own,
            tuple(two),
            np.array([swatch(own, *each) for each in two]),
            tuple(turns),
            np.array([swatch(own, turned=each) for each in turns]),
        )
    return found


def picks(
    patches: Mapping[Matched, Floats], paper: Floats, at: AtScreen, rng: np.random.Generator
) -> dict[str, int | tuple[int, int]]:
    """The answers of ``at.who``, by their fields: which swatches look like ``patches``, CIELAB (3,), on ``paper`` (3,).

    Of soft colours first lightness and strength among swatches of the hue that the file asks for, then the hue.
    """
    who = at.who
    said: dict[str, int | tuple[int, int]] = {}
    spread = np.array([who.lightness, who.strength, who.hue])
    always = np.array(who.shared) * rng.standard_normal(3)
    for what, grid in at.grids.items():
        errors = always + spread * rng.standard_normal(3)
        seen = _seen(patches[what], paper, at, errors)
        if what == "greys":
            lightness = at.screen.shows(grid.colours)[:, 0]
            light = grid.steps[int(np.abs(lightness - seen[0]).argmin())][0]
            said["greys_match"] = _slipped(light, who, rng)
            continue
        light, strong = grid.steps[_nearest(seen, at.screen.shows(grid.colours), who.light_counts)]
        said[f"soft_{what}_match"] = _slipped(light, who, rng), _slipped(strong, who, rng)
        row = at.screen.shows(grid.turned)
        # Of these only the hue differs, and it is hue that is looked at.
        off = np.degrees(np.arctan2(row[:, 2], row[:, 1]) - np.arctan2(seen[2], seen[1]))
        place = int(np.abs((off + 180.0) % 360.0 - 180.0).argmin())
        said[f"soft_{what}_hue_match"] = _slipped(grid.turns[place], who, rng)
    return said


def _seen(lab: Floats, paper: Floats, at: AtScreen, errors: Floats) -> Floats:
    """How a patch looks beside the card's white to whoever looks at a screen as well."""
    own = relative(lab, paper)
    cast = (1.0 - at.who.adapted) * (paper[1:] - np.array(at.screen.white)) * own[0] / 100.0
    lightness, chroma, hue = lab_to_lch(np.array([own[0], *(own[1:] + cast)]))
    return np.asarray(lch_to_lab([lightness + errors[0], chroma * np.exp(errors[1]), hue + errors[2]]))


def _nearest(seen: Floats, colours: Floats, light_counts: float) -> int:
    """Whichever of the colours (n, 3) looks most like the one that is ``seen``: CIE94 (CIE 116-1995), but for the
    weight of lightness."""
    between = colours - seen
    own = float(np.hypot(seen[1], seen[2]))
    chroma = np.hypot(colours[:, 1], colours[:, 2]) - own
    hue = np.maximum(between[:, 1] ** 2 + between[:, 2] ** 2 - chroma**2, 0.0)
    off = (
        (light_counts * between[:, 0]) ** 2
        + (chroma / (1.0 + _CHROMA * own)) ** 2
        + hue / (1.0 + _HUE * own) ** 2
    )
    return int(off.argmin())


def _slipped(step: int, who: Picker, rng: np.random.Generator) -> int:
    """A pick, now and then a swatch or two beside."""
    if rng.random() < who.wrong:
        step += int(rng.choice((-2, -1, 1, 2)))
    return int(np.clip(step, -STEPS, STEPS))
