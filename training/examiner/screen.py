"""A person who holds a patch beside swatches on a screen, and picks the one that looks like it.

A screen of the examiner's is one of light: it mixes a share of its white into every colour (weak panels a quarter of
it, good ones none, some more than honest), has a tone curve that is not quite the standard's, a white that the eye does
not wholly adapt to, and the room's light lies over all of it. The person sees the patch beside its own card, remembers
it for the blink between the two, and takes the swatch that lies nearest, by CIEDE2000. All figures are this project's
own estimates.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import WHITE_D50, Floats, lab_to_lch, lab_to_xyz, lch_to_lab, xyz_to_lab
from tackside.reading.swatches import MATCHED, STEPS, asked_for, is_shown, matched_patch, swatch
from training.examiner.profiles import relative
from training.examiner.scenes import Laid

# How many have no screen at hand that they would trust; below this chroma nobody tells a hue.
WITHOUT_SCREEN, _NO_HUE = 0.1, 6.0
# One standard deviation of what is remembered of a patch: L*, share of chroma, hue (degrees), and units across the hue.
_LIGHTNESS, _CHROMA, _HUE_DEG, _HUE_DE = 2.4, 0.08, 4.0, 1.2
# How much of a screen's own white the eye adapts to.
_ADAPTED = 0.75


@dataclass(frozen=True)
class Screen:
    """``white``: XYZ of its white over D50's (3,); ``mixed``: the share of white in every colour; ``gamma``: exponent
    on light; ``veil``: the room's light, as a share of white."""

    white: Floats
    mixed: float
    gamma: float
    veil: float

    @classmethod
    def any(cls, rng: np.random.Generator) -> Screen:
        weak = rng.random() < 0.35
        return cls(
            white=1.0 + rng.normal(0.0, (0.02, 0.0, 0.06)),
            mixed=float(rng.uniform(0.08, 0.28) if weak else rng.normal(0.0, 0.05)),
            gamma=float(np.exp(rng.normal(0.0, 0.06))),
            veil=float(np.exp(rng.normal(np.log(0.01), 0.6))),
        )

    def shows(self, lab: Floats) -> Floats:
        """What an eye sees of swatches (n, 3), CIELAB relative to the white around them."""
        xyz = lab_to_xyz(lab) / WHITE_D50
        xyz = np.sign(xyz) * np.abs(xyz) ** self.gamma
        grey = xyz[:, 1:2]
        xyz = grey + (1.0 - self.mixed) * (xyz - grey)
        light = (xyz + self.veil) / (1.0 + self.veil)
        return xyz_to_lab(light * self.white ** (1.0 - _ADAPTED) * WHITE_D50)


def picks(laid: Laid, rng: np.random.Generator, slips: float, left_out: float) -> dict[str, object]:
    """The answers about swatches, field → answer; none without a screen, or where the sheet has no such patch."""
    if rng.random() < WITHOUT_SCREEN:
        return {}
    screen, care = Screen.any(rng), float(np.exp(rng.normal(0.0, 0.3)))
    said: dict[str, object] = {}
    for what in MATCHED:
        patch = matched_patch(laid.sheet, what)
        if patch is None:
            continue
        asked = asked_for(laid.sheet, patch)
        seen = _remembered(beside_its_card(laid, np.array([patch.rgb])), rng, care)
        step = range(-STEPS, STEPS + 1)
        if what == "greys":
            found = {"greys_match": _nearest(seen, [(n,) for n in step], asked, screen)[0]}
        else:
            grid = [(light, strong) for light in step for strong in step]
            found = {f"soft_{what}_match": _nearest(seen, grid, asked, screen)}
            if np.hypot(*seen[1:]) >= _NO_HUE:
                found[f"soft_{what}_hue_match"] = _hue(seen, asked, screen)
        for field, answer in found.items():
            if rng.random() < slips:
                many = answer if isinstance(answer, tuple) else (answer,)
                off = tuple(int(np.clip(n + rng.choice([-2, -1, 1, 2]), -STEPS, STEPS)) for n in many)
                answer = off if isinstance(answer, tuple) else off[0]
            if rng.random() >= left_out:
                said[field] = answer
    return said


def beside_its_card(laid: Laid, numbers: Floats) -> Floats:
    """The mean colour of these numbers (n, 3) as an eye sees it that takes the bare card for white: CIELAB (3,)."""
    made = laid.made
    return np.asarray(relative(made.xyz(numbers, laid.space), made.bare_xyz).mean(axis=0))


def _remembered(lab: Floats, rng: np.random.Generator, care: float) -> Floats:
    lightness, chroma, hue = lab_to_lch(lab)
    across = np.hypot(_HUE_DEG, np.degrees(_HUE_DE / max(float(chroma), 2.0)))
    off = care * rng.standard_normal(3)
    return np.asarray(
        lch_to_lab(
            [lightness + _LIGHTNESS * off[0], chroma * np.exp(_CHROMA * off[1]), hue + across * off[2]]
        )
    )


def _nearest(seen: Floats, grid: list[tuple[int, ...]], asked: Floats, screen: Screen) -> tuple[int, ...]:
    shown = [steps for steps in grid if is_shown(swatch(asked, *steps))]
    colours = screen.shows(np.array([swatch(asked, *steps) for steps in shown]))
    return shown[int(np.argmin(delta_e_2000(colours, seen)))]


def _hue(seen: Floats, asked: Floats, screen: Screen) -> int:
    """The step of the row of hues whose angle is the patch's, whatever their lightness and strength."""
    shown = [n for n in range(-STEPS, STEPS + 1) if is_shown(swatch(asked, turned=n))]
    angles = lab_to_lch(screen.shows(np.array([swatch(asked, turned=n) for n in shown])))[:, 2]
    apart = np.abs((angles - lab_to_lch(seen)[2] + 180.0) % 360.0 - 180.0)
    return shown[int(np.argmin(apart))]
