"""A noisy observer: looks at a virtual print, with a good print beside it, and answers the short form.

What is stated here is all there is to it: each answer is cut from a figure of the press's truth that has been blurred
by the observer's own error, and a few answers are simply wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from tackside.colour.spaces import RGB_SPACES, Floats, rgb_to_lab
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.reading.eye import Answers
from tackside.reading.swatches import Matched
from tackside.records.sheet_plan import Space
from training.swatch_picker import AtScreen, picks
from training.teacher.device import relative

# The sheet's own shadow steps (levels of the grey ramp), and its middle greys.
SHADOWS = (0.0, 0.012, 0.02, 0.031, 0.039, 0.051, 0.071, 0.102, 0.149, 0.2, 0.251, 0.302)
RAMP = np.array([*SHADOWS, 0.4, 0.5, 0.6, 0.7])
_MIDDLE = slice(len(SHADOWS), None)
# The six full colours, and the light greens and cyans that every sheet has.
FULL = np.array([(0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1)], dtype=float)
LIGHT_GREENS = np.array([1 - t * (1 - FULL[hue]) for hue in (0, 4) for t in (0.33, 0.5, 0.67)])
# A soft cyan, red, purple and blue, which every card holds.
SOFT = np.array([(0.17, 0.5, 0.5), (0.83, 0.5, 0.5), (0.5, 0.335, 0.5), (0.5, 0.5, 0.665)])
# How much a screen strengthens both of them, or weakens, as a share of chroma; and how often a program shows a file
# without its profile, as if it were sRGB. Both are this project's own estimates.
_SCREEN, _AS_SRGB = 0.07, 0.1
_TINTS = ("red", "yellow", "green", "cyan", "blue", "magenta")
_HUES = np.array([30.0, 95.0, 150.0, 220.0, 285.0, 345.0])
# Those of SOFT whose strength is asked for, and those whose hue is: its place, and the words for a hue that was turned
# clockwise and anticlockwise in CIELAB, by more than so many degrees to whoever is of the usual strictness.
_SOFT = ("cyans", "reds")
_TURNED = {
    "purples": (2, "bluer", "redder"),
    "blues": (3, "greener", "redder"),
    "reds": (1, "bluer", "yellower"),
}
_TURN = 9.0
# Chroma, CIELAB, that nobody tells from none: some invented presses print soft cyans that grey.
_FAINT = 2.0
# A colour whose chroma has fallen to less than this share is none any more.
_LOST = 0.25


@dataclass(frozen=True)
class Observer:
    """Standard deviations and limits of one person; the figures here are the study's own observer.

    ``black``, ``middle``: L*; ``chroma``: share of chroma (of tints alone it is twice that); ``tint``: ΔE*ab;
    ``hue``: degrees; ``creep``: µm; ``ruler``: mm. ``wrong``: the share of answers that are simply wrong.
    ``strict``: limits between answers, as multiples of the usual ones.
    """

    black: float = 2.0
    middle: float = 2.0
    chroma: float = 0.05
    tint: float = 1.0
    hue: float = 10.0
    creep: float = 5.0
    ruler: float = 0.4
    wrong: float = 0.03
    strict: float = 1.0

    @classmethod
    def anybody(cls, rng: np.random.Generator) -> Observer:
        """Somebody else: more careful or less, stricter or less."""
        usual = cls()
        care = np.exp(0.4 * rng.standard_normal())
        each = {
            name: float(getattr(usual, name) * care * np.exp(0.3 * rng.standard_normal()))
            for name in ("black", "middle", "chroma", "tint", "hue", "creep", "ruler")
        }
        return cls(
            **each, wrong=float(rng.uniform(0.01, 0.06)), strict=float(np.exp(0.2 * rng.standard_normal()))
        )


@dataclass(frozen=True)
class Sight:
    """The colours of one print that the form asks about, CIELAB: ``ramp`` at RAMP, ``full`` at FULL, ``light_greens``
    at LIGHT_GREENS, ``soft`` at SOFT; ``paper``: its own (3,); ``chroma``: mean over all its patches; ``matched``: the
    patches that are held beside swatches, (3,) each."""

    ramp: Floats
    full: Floats
    light_greens: Floats
    soft: Floats
    paper: Floats
    chroma: float
    matched: Mapping[Matched, Floats] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        shown: Callable[[Floats], Floats],
        asked: Floats,
        matched: Mapping[Matched, tuple[float, float, float]] | None = None,
    ) -> Sight:
        """What ``shown`` gives, CIELAB (n, 3) for numbers (n, 3); ``asked``: the sheet's own numbers, ``matched``: of
        the patches held beside swatches."""
        greys = np.repeat(RAMP[:, None], 3, axis=1)
        return cls(
            shown(greys),
            shown(FULL),
            shown(LIGHT_GREENS),
            shown(SOFT),
            shown(np.ones((1, 3)))[0],
            chroma(shown(asked)),
            {what: shown(np.array([number]))[0] for what, number in (matched or {}).items()},
        )


def answers(
    here: Sight,
    there: Sight,
    paper: StockModel,
    printer: PrinterModel,
    other: StockModel,
    size_mm: tuple[float, float],
    rng: np.random.Generator,
    who: Observer | None = None,
    space: Space | None = None,
    at_screen: AtScreen | None = None,
) -> Answers:
    """The form as ``who`` fills it; ``there``: the good print beside it, ``other``: the card's other side.

    ``space``: of the sheet's numbers; without one the form asks nothing of the screen's soft colours. ``at_screen``:
    who picks swatches, and from which; None where there is no screen, or no space.
    """
    who = who or Observer()
    strict, ramp = who.strict, here.ramp
    lighter = float((ramp - there.ramp)[_MIDDLE, 0].mean()) + who.middle * rng.standard_normal()
    greyer = float(ramp[0, 0] - there.ramp[0, 0]) + who.black * rng.standard_normal()
    share = here.chroma / there.chroma + who.chroma * rng.standard_normal()
    screen = share + 1.5 * who.chroma * rng.standard_normal()
    greens = chroma(here.light_greens) / chroma(there.light_greens) + 2 * who.chroma * rng.standard_normal()
    soft = _soft(here, there, space, rng, who)
    tint = _middle(ramp) - _middle(there.ramp) + who.tint * rng.standard_normal(2)
    strength = float(np.hypot(*tint)) / strict
    hue = float(np.degrees(np.arctan2(tint[1], tint[0])))
    nearest = int(np.argmin(np.abs((_HUES - hue + 180) % 360 - 180)))
    surplus = max(0.0, printer.ink - 1.0)
    creep = (paper.spread_um * (1 + 2.5 * surplus) + who.creep * rng.standard_normal()) / strict
    steps = np.flatnonzero(ramp[:, 0] - ramp[0, 0] > 2.0 * strict)
    doubled = 1000 * printer.misalignment_mm + 25 * rng.standard_normal() > 80
    missing = [ink for ink in printer.missing if rng.random() > who.wrong]
    if rng.random() < who.wrong:
        missing.append("cmyk"[rng.integers(4)])
    place = printer.placement(size_mm)
    return Answers(
        dark_steps_alike=int(np.clip((steps[0] if len(steps) else 9) - 1 + rng.integers(-1, 2), 0, 20)),
        creep="much" if creep > 34 else "slightly" if creep > 24 else "no",
        drag_this_side=_drag(paper, rng, who),
        drag_other_side=_drag(other, rng, who),
        beside_screen=_cut(screen, strict),
        greys_tint="none" if strength < 3.0 else _TINTS[nearest],
        tint_strength=None if strength < 3.0 else "slight" if strength < 6.0 else "strong",
        light_lines="few" if rng.random() < who.wrong else "none",
        doubled_lines="vertical" if doubled else "none",
        missing_inks=tuple(dict.fromkeys(missing)),
        ruler_across_mm=(150.0, float(150.0 * place.scale_x + who.ruler * rng.standard_normal())),
        ruler_along_mm=(150.0, float(150.0 * place.scale_y + who.ruler * rng.standard_normal())),
        black_beside_good="much-less" if greyer > 13 * strict else "less" if greyer > 5 * strict else "same",
        colour_beside_good=_cut(share, strict),
        light_greens_beside_good=_cut(greens, strict),
        middle_beside_good="lighter"
        if lighter > 5 * strict
        else "darker"
        if lighter < -5 * strict
        else "same",
        hues_off=_hues_off(here.full, there.full, rng, who),
        **soft,
        **_soft_hues(here, there, rng, who),
        **({} if at_screen is None else picks(here.matched, here.paper, at_screen, rng)),
    )


def chroma(lab: Floats) -> float:
    """Mean chroma of colours (n, 3)."""
    return float(np.hypot(lab[:, 1], lab[:, 2]).mean())


def _soft(
    here: Sight, there: Sight, space: Space | None, rng: np.random.Generator, who: Observer
) -> dict[str, str]:
    """The answers about soft cyans and soft reds: by their chroma, each print's beside its own paper."""
    own, good = (
        np.maximum(np.hypot(*relative(one.soft[: len(_SOFT)], one.paper)[:, 1:].T), _FAINT)
        for one in (here, there)
    )
    beside = own / good + who.chroma * rng.standard_normal(2)
    said = {f"soft_{hue}_beside_good": _softly(beside[place], who.strict) for place, hue in enumerate(_SOFT)}
    if space is not None:
        shown_in: Space = "srgb" if rng.random() < _AS_SRGB else space
        meant = np.hypot(*rgb_to_lab(SOFT[: len(_SOFT)], RGB_SPACES[shown_in])[:, 1:].T)
        screen = np.exp(_SCREEN * rng.standard_normal())
        share = own / meant * screen + 1.5 * who.chroma * rng.standard_normal(2)
        said |= {
            f"soft_{hue}_beside_screen": _softly(share[place], who.strict) for place, hue in enumerate(_SOFT)
        }
    return said


def _soft_hues(here: Sight, there: Sight, rng: np.random.Generator, who: Observer) -> dict[str, str]:
    """The answers about the hues of soft colours, each print's beside its own paper. Side by side, tints that differ in
    hue alone are told apart better than full colours are named."""
    own, good = (relative(one.soft, one.paper)[:, 1:] for one in (here, there))
    turn = np.degrees(np.arctan2(own[:, 1], own[:, 0]) - np.arctan2(good[:, 1], good[:, 0]))
    turn = (turn + 180) % 360 - 180 + 0.5 * who.hue * rng.standard_normal(len(turn))
    seen = np.minimum(np.hypot(*own.T), np.hypot(*good.T)) >= _FAINT
    said = {}
    for name, (place, clockwise, anticlockwise) in _TURNED.items():
        side = int(np.sign(turn[place])) if seen[place] and abs(turn[place]) > _TURN * who.strict else 0
        if rng.random() < who.wrong:
            side = int(rng.integers(-1, 2))
        said[f"soft_{name}_hue_beside_good"] = (clockwise, "same", anticlockwise)[side + 1]
    return said


def _middle(ramp: Floats) -> Floats:
    return np.asarray(ramp[_MIDDLE, 1:].mean(axis=0))


def _hues_off(here: Floats, there: Floats, rng: np.random.Generator, who: Observer) -> int:
    """How many of the full colours are another's: turned by more than 45°, or with no colour left."""
    turn = np.degrees(np.arctan2(here[:, 2], here[:, 1]) - np.arctan2(there[:, 2], there[:, 1]))
    turn = np.abs((turn + 180) % 360 - 180) + who.hue * rng.standard_normal(len(turn))
    kept = np.hypot(here[:, 1], here[:, 2]) / np.hypot(there[:, 1], there[:, 2])
    count = int(((turn > 45.0) | (kept < _LOST)).sum())
    if rng.random() < who.wrong:
        count += int(rng.choice((-1, 1)))
    return int(np.clip(count, 0, len(turn)))


def _cut(share: float, strict: float) -> str:
    """The word for a share of chroma."""
    more, less, much = (1 + strict * off for off in (0.12, -0.13, -0.32))
    return "more" if share > more else "same" if share > less else "less" if share > much else "much-less"


def _softly(share: float, strict: float) -> str:
    """As ``_cut``, and one word more: taking one space for the other makes soft colours half as strong again."""
    return "much-more" if share > 1 + 0.32 * strict else _cut(share, strict)


def _drag(side: StockModel, rng: np.random.Generator, who: Observer) -> str:
    if rng.random() < 0.1:
        return "unsure"
    return "yes" if side.takes_ink != (rng.random() < who.wrong) else "no"
