"""A noisy observer: looks at a virtual print, with a good print beside it, and answers the short form.

What is stated here is all there is to it: each answer is cut from a figure of the press's truth that has been blurred
by the observer's own error, and a few answers are simply wrong.
"""

from __future__ import annotations

import numpy as np

from tackside.bench.records import Trial
from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.press import PrinterModel, StockModel
from tackside.press.driver import rgb_to_xyz
from tackside.reading.eye import Answers
from tests.verdict.study.prints import asked_numbers

# One standard deviation: L* of black, share of chroma, ΔE*ab of a tint, µm of creep, mm on a ruler.
BLACK_SD, CHROMA_SD, TINT_SD, CREEP_SD, RULER_SD = 2.0, 0.05, 1.0, 5.0, 0.4
# L* of the middle greys beside a good print, and degrees by which a hue must be off to be called another.
MIDDLE_SD, OTHER_HUE_DEG, OTHER_HUE_SD = 2.0, 45.0, 10.0
WRONG = 0.03
_TINTS = ("red", "yellow", "green", "cyan", "blue", "magenta")
_HUES = np.array([30.0, 95.0, 150.0, 220.0, 285.0, 345.0])


def answers(
    trial: Trial,
    paper: StockModel,
    printer: PrinterModel,
    good: StockModel,
    sound: PrinterModel,
    other: StockModel,
    rng: np.random.Generator,
    *,
    swapped: bool = False,
) -> Answers:
    """The form as this observer fills it; ``good`` is the stock of the good print, ``other`` the card's other side."""
    asked = asked_numbers(trial.sheet.space or "srgb")
    here, there = (xyz_to_lab(rgb_to_xyz(asked, *made)) for made in ((paper, printer), (good, sound)))
    if swapped:
        here = xyz_to_lab(rgb_to_xyz(asked[:, [2, 1, 0]], paper, printer))
    ramp = _ramp(paper, printer)
    lighter = float((ramp - _ramp(good, sound))[-4:, 0].mean()) + MIDDLE_SD * rng.standard_normal()
    wrong_hue = _hue_off(here, there, asked) + OTHER_HUE_SD * rng.standard_normal() > OTHER_HUE_DEG
    wrong_hue = wrong_hue != (rng.random() < WRONG)
    greyer = float(ramp[0, 0] - _ramp(good, sound)[0, 0]) + BLACK_SD * rng.standard_normal()
    share = _chroma(here) / _chroma(there) + CHROMA_SD * rng.standard_normal()
    screen = share + 1.5 * CHROMA_SD * rng.standard_normal()
    tint = (_middle(ramp) - _middle(_ramp(good, sound))) + TINT_SD * rng.standard_normal(2)
    strength = float(np.hypot(*tint))
    hue = float(np.degrees(np.arctan2(tint[1], tint[0])))
    nearest = int(np.argmin(np.abs((_HUES - hue + 180) % 360 - 180)))
    surplus = max(0.0, printer.ink - 1.0)
    creep = paper.spread_um * (1 + 2.5 * surplus) + CREEP_SD * rng.standard_normal()
    steps = np.flatnonzero(ramp[:, 0] - ramp[0, 0] > 2.0)
    doubled = 1000 * printer.misalignment_mm + 25 * rng.standard_normal() > 80
    missing = [ink for ink in printer.missing if rng.random() > WRONG]
    if rng.random() < WRONG:
        missing.append("cmyk"[rng.integers(4)])
    place = printer.placement(trial.sheet.size_mm)
    return Answers(
        dark_steps_alike=int(np.clip((steps[0] if len(steps) else 9) - 1 + rng.integers(-1, 2), 0, 20)),
        creep="much" if creep > 34 else "slightly" if creep > 24 else "no",
        drag_this_side=_drag(paper, rng),
        drag_other_side=_drag(other, rng),
        beside_screen=_cut(screen),
        greys_tint="none" if strength < 3.0 else _TINTS[nearest],
        tint_strength=None if strength < 3.0 else "slight" if strength < 6.0 else "strong",
        light_lines="few" if rng.random() < WRONG else "none",
        doubled_lines="vertical" if doubled else "none",
        missing_inks=tuple(dict.fromkeys(missing)),
        ruler_across_mm=(150.0, float(150.0 * place.scale_x + RULER_SD * rng.standard_normal())),
        ruler_along_mm=(150.0, float(150.0 * place.scale_y + RULER_SD * rng.standard_normal())),
        black_beside_good="much-less" if greyer > 13 else "less" if greyer > 5 else "same",
        colour_beside_good=_cut(share),
        middle_beside_good="lighter" if lighter > 5 else "darker" if lighter < -5 else "same",
        hues="wrong" if wrong_hue else "right",
    )


# The sheet's own shadow steps (levels of the grey ramp).
SHADOWS = (0.0, 0.012, 0.02, 0.031, 0.039, 0.051, 0.071, 0.102, 0.149, 0.2, 0.251, 0.302)


def _ramp(paper: StockModel, printer: PrinterModel) -> Floats:
    levels = np.array([*SHADOWS, 0.4, 0.5, 0.6, 0.7])
    return xyz_to_lab(rgb_to_xyz(np.repeat(levels[:, None], 3, axis=1), paper, printer))


def _middle(ramp: Floats) -> Floats:
    return np.asarray(ramp[-4:, 1:].mean(axis=0))


def _chroma(lab: Floats) -> float:
    return float(np.hypot(lab[:, 1], lab[:, 2]).mean())


def _hue_off(here: Floats, there: Floats, asked: Floats) -> float:
    """The most that a full colour's hue is off, degrees."""
    full = np.flatnonzero((np.ptp(asked, axis=1) > 0.99) & np.isin(asked, (0.0, 1.0)).all(axis=1))
    turn = np.degrees(np.arctan2(here[full, 2], here[full, 1]) - np.arctan2(there[full, 2], there[full, 1]))
    return float(np.abs((turn + 180) % 360 - 180).max())


def _cut(share: float) -> str:
    return "more" if share > 1.12 else "same" if share > 0.87 else "less" if share > 0.68 else "much-less"


def _drag(side: StockModel, rng: np.random.Generator) -> str:
    if rng.random() < 0.1:
        return "unsure"
    return "yes" if side.takes_ink != (rng.random() < WRONG) else "no"
