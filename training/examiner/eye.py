"""A person with the print in hand: what they see of it, and the short form as they fill it in.

Thresholds are this project's own estimates of what people see without a measure: a grey step is told from black at
one or two L*, a tint at some three units of chroma against the card's own white, a richer or duller print at a tenth
beside another (light greens, which are asked for by name, a little sooner) and at an eighth beside a screen. A hue that
has turned is seen beside the good print from some eight degrees on, and less surely the greyer the colour. Swatches on
a screen are picked as ``screen`` says. People differ, hesitate, leave questions out, and are wrong now and then.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import RGB_SPACES, Floats, rgb_to_lab
from tackside.reading.eye import TURNS, read_answers
from tackside.reading.eye_questions import answers_from
from tackside.reading.soft_colours import Hue, soft_patches
from tackside.records import Reading
from tackside.records.reading import TINT_HUES
from training.examiner.prints import Print
from training.examiner.scenes import Laid, Scene
from training.examiner.screen import beside_its_card, picks

_FULL: Floats = np.array([[0, 1, 1], [1, 0, 1], [1, 1, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
_MIXED: Floats = 1.0 - 0.6 * (1.0 - _FULL)
_LIGHT_GREENS: Floats = np.array([[0.7, 1.0, 0.7], [0.85, 1.0, 0.85], [0.7, 1.0, 1.0], [0.85, 1.0, 1.0]])
_MIDDLE: Floats = np.linspace(0.3, 0.75, 8)[:, None] * np.ones(3)
# Questions that a person leaves out, of all that could be answered.
LEFT_OUT = 0.12
# Without these there is no grade, and the form asks again.
ASKED_AGAIN = ("dark_steps_alike", "beside_screen", "hues_off")
# What a light-sensitive eye takes for the same chroma on paper and on a screen, as a share of the file's.
_SCREEN_SHARE = 0.78
# How often somebody leaves these out beside a good print of a sheet in the other space, as the form asks.
_HEEDS_THE_SPACE = 0.7
_SOFT_HUES: tuple[Hue, ...] = ("cyans", "reds")
_TURNED: tuple[Hue, ...] = ("reds", "purples", "blues")
# Below this chroma nobody tells a hue. The error of a hue has two parts: degrees, and units of CIELAB across the hue.
_NO_HUE, _HUE_DEG, _HUE_DE = 8.0, 2.5, 1.0


class Person:
    """One observer: thresholds and carelessness of their own, the same over all questions."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.dark = float(np.exp(rng.normal(np.log(1.6), 0.3)))
        self.light = float(np.exp(rng.normal(np.log(1.1), 0.25)))
        self.tint = float(rng.uniform(2.5, 4.0))
        self.slips = float(rng.uniform(0.01, 0.05))
        # What was asked later is drawn apart, so that the same people give the other answers as before.
        self.later = rng.spawn(1)[0]
        self.turn_deg = float(np.exp(self.later.normal(np.log(8.0), 0.25)))

    def answers(self, scene: Scene) -> dict[str, Any]:
        """The form, filled in; a question left out has no entry."""
        made, space = scene.laid.made, scene.laid.space
        lab = {name: made.lab(numbers, space) for name, numbers in _LOOKED_AT.items()}
        said = self._greys(made, scene) | self._lines(made, scene) | self._hues(scene, lab)
        said |= self._fingers(scene) | self._rulers(scene)
        file = rgb_to_lab(_MIXED, RGB_SPACES[space])
        share = _chroma(lab["mixed"]) / _chroma(file) / _SCREEN_SHARE
        screen = float(np.exp(self.rng.normal(0.0, 0.1)))
        said["beside_screen"] = self._vivid(share * screen, 0.13)
        soft = self._soft(scene)
        said |= soft
        if scene.reference is not None:
            good = scene.reference.made
            said |= self._beside(
                lab, {name: good.lab(numbers, space) for name, numbers in _LOOKED_AT.items()}
            )
        kept = {
            name: answer
            for name, answer in said.items()
            if self.rng.random() >= LEFT_OUT or name in ASKED_AGAIN
        }
        if kept.get("greys_tint") in (None, "none"):
            kept.pop("tint_strength", None)
        kept |= picks(scene.laid, self.later, self.slips, LEFT_OUT)
        if scene.reference is not None and soft:
            turned = self._turned(scene.laid, scene.reference)
            kept |= {name: word for name, word in turned.items() if self.later.random() >= LEFT_OUT}
        kept["drying_hours"] = float(self.rng.choice([3.0, 12.0, 24.0, 48.0]))
        return kept

    def _greys(self, made: Print, scene: Scene) -> dict[str, Any]:
        levels = np.array(
            sorted({patch.rgb[0] for patch in scene.laid.sheet.patches if np.ptp(patch.rgb) < 1e-6})
        )
        lab = made.lab(levels[:, None] * np.ones(3), scene.laid.space)
        dark = self._alike(delta_e_2000(lab[1:], lab[0]), self.dark)
        light = self._alike(delta_e_2000(lab[-2::-1], lab[-1]), self.light)
        middle = made.lab(_MIDDLE, scene.laid.space)
        # The eye adapts to the card's own white, but not wholly.
        tint = middle[:, 1:].mean(axis=0) - 0.7 * lab[-1, 1:] + self.rng.normal(0.0, 1.0, 2)
        size = float(np.hypot(*tint))
        said: dict[str, Any] = {"dark_steps_alike": dark, "light_steps_alike": light, "greys_tint": "none"}
        if size > self.tint:
            hue = float(np.degrees(np.arctan2(tint[1], tint[0])) % 360.0)
            said["greys_tint"] = min(
                TINT_HUES, key=lambda name: abs((TINT_HUES[name] - hue + 180) % 360 - 180)
            )
            said["tint_strength"] = "strong" if size > 2.3 * self.tint else "slight"
        return said

    def _alike(self, apart: Floats, least: float) -> int:
        seen = apart >= least
        count = int(np.argmax(seen)) if seen.any() else len(apart)
        return int(np.clip(count + self.rng.choice([-1, 0, 0, 0, 1]), 0, len(apart)))

    def _lines(self, made: Print, scene: Scene) -> dict[str, Any]:
        grain, rng = made.grain, self.rng
        sizes = sorted({t.size_pt for t in scene.laid.sheet.targets if t.kind == "text" and t.size_pt})
        blur = grain.blur_um + 0.5 * grain.ragged_um + 0.15 * made.doubled_um
        spread = grain.spread_um + float(rng.normal(0.0, 9.0))
        said: dict[str, Any] = {"creep": "no" if spread < 56.0 else "slightly" if spread < 80.0 else "much"}
        for name, least in (
            ("smallest_type_pt", 1.6 + blur / 16.0),
            ("smallest_reversed_type_pt", 2.2 + blur / 18.0 + grain.spread_um / 32.0),
        ):
            fit = [size for size in sizes if size >= least * float(np.exp(rng.normal(0.0, 0.12)))]
            if sizes:
                said[name] = fit[0] if fit else sizes[-1]
        seen = rng.random() < 1.0 / (1.0 + np.exp((95.0 - made.doubled_um) / 22.0))
        said["doubled_lines"] = (
            "vertical" if seen else "horizontal" if rng.random() < self.slips / 2 else "none"
        )
        part = made.lost_share if made.lost and made.lost_share < 1.0 else 0.0
        said["light_lines"] = "none" if part == 0.0 else "few" if part < 0.45 else "many"
        if part == 0.0 and rng.random() < self.slips:
            said["light_lines"] = "few"
        return said

    def _hues(self, scene: Scene, lab: dict[str, Floats]) -> dict[str, Any]:
        """Which full colours are plainly another, and which ink seems to be gone: by memory of such colours."""
        made, rng = scene.laid.made, self.rng
        meant = rgb_to_lab(_FULL, RGB_SPACES[scene.laid.space])
        if scene.reference is not None:
            meant = scene.reference.made.lab(_FULL, scene.laid.space)
        full = lab["full"]
        turned = np.abs((_hue(full) - _hue(meant) + 180.0) % 360.0 - 180.0)
        grey = np.hypot(full[:, 1], full[:, 2]) < 14.0
        limit = 38.0 if scene.reference is None else 28.0
        off = int(((turned > limit * np.exp(rng.normal(0.0, 0.12, 6))) | grey).sum())
        inks = made.route.engine.inks
        gone = {inks[place].removeprefix("l") for place in made.lost if made.lost_share > 0.35}
        seen = [ink for ink in "cmyk" if ink in gone and rng.random() < (0.9 if ink != "k" else 0.65)]
        if not seen and rng.random() < self.slips:
            seen = [str(rng.choice(list("cmyk")))]
        return {"hues_off": off, "missing_inks": seen}

    def _fingers(self, scene: Scene) -> dict[str, Any]:
        """A damp fingertip on both faces; most do not try."""
        if self.rng.random() < 0.5:
            return {}
        here = scene.laid.made.card.is_coated
        there = "side" in scene.truth or (here and scene.stock.coated == "both")
        return {"drag_this_side": self._drag(here), "drag_other_side": self._drag(there)}

    def _drag(self, coated: bool) -> str:
        at = self.rng.random()
        if at < 0.12:
            return "unsure"
        return "yes" if coated != (at > 1.0 - self.slips) else "no"

    def _rulers(self, scene: Scene) -> dict[str, Any]:
        width, height = scene.laid.sheet.size_mm
        found = {}
        for name, side, scale in (
            ("ruler_across_mm", width, scene.laid.made.scale[0]),
            ("ruler_along_mm", height, scene.laid.made.scale[1]),
        ):
            asked = 10.0 * float(np.floor((side - 30.0) / 10.0))
            measured = np.rint(2.0 * (asked * scale + self.rng.normal(0.0, 0.2))) / 2.0
            found[name] = (asked, float(measured))
        return found if self.rng.random() < 0.75 else {}

    def _beside(self, lab: dict[str, Floats], good: dict[str, Floats]) -> dict[str, Any]:
        rng = self.rng
        weaker = lab["black"][0, 0] - good["black"][0, 0] + float(rng.normal(0.0, 1.3))
        lighter = float((lab["middle"][:, 0] - good["middle"][:, 0]).mean() + rng.normal(0.0, 1.2))
        richer = _chroma(lab["mixed"]) / _chroma(good["mixed"]) * float(np.exp(rng.normal(0.0, 0.04)))
        greener = _chroma(lab["greens"]) / _chroma(good["greens"]) * float(np.exp(rng.normal(0.0, 0.04)))
        return {
            "black_beside_good": "same" if weaker < 4.0 else "less" if weaker < 11.0 else "much-less",
            "middle_beside_good": "lighter" if lighter > 3.0 else "darker" if lighter < -3.0 else "same",
            "colour_beside_good": self._vivid(richer, 0.1),
            "light_greens_beside_good": self._vivid(greener, 0.08),
        }

    def _soft(self, scene: Scene) -> dict[str, Any]:
        """The sheet's soft colours beside the good print."""
        laid, rng, said = scene.laid, self.rng, {}
        good = scene.reference
        if good is None or (good.space != laid.space and rng.random() < _HEEDS_THE_SPACE):
            return {}
        for hue in _SOFT_HUES:
            numbers: Floats = np.array([patch.rgb for patch in soft_patches(laid.sheet, hue)])
            if not len(numbers):
                continue
            own = _chroma(laid.made.lab(numbers, laid.space))
            theirs = _chroma(good.made.lab(numbers, good.space))
            seen = own / theirs * float(np.exp(rng.normal(0.0, 0.05)))
            said[f"soft_{hue}_beside_good"] = self._softly(seen, 0.1)
        return said

    def _turned(self, laid: Laid, good: Laid) -> dict[str, str]:
        """Which way the hue of soft colours has turned, each print beside its own card."""
        said = {}
        for hue in _TURNED:
            numbers: Floats = np.array([patch.rgb for patch in soft_patches(laid.sheet, hue)])
            if not len(numbers):
                continue
            own, theirs = (beside_its_card(one, numbers) for one in (laid, good))
            chroma = min(float(np.hypot(*own[1:])), float(np.hypot(*theirs[1:])))
            words = {turn: word for word, turn in TURNS[hue].items()}
            turn = 0.0
            if chroma >= _NO_HUE:
                apart = float((_hue(own[None]) - _hue(theirs[None]))[0] + 180.0) % 360.0 - 180.0
                apart += self.later.normal(0.0, np.hypot(_HUE_DEG, np.degrees(_HUE_DE / chroma)))
                turn = float(np.sign(apart)) * (abs(apart) >= self.turn_deg)
            if self.later.random() < self.slips:
                turn = float(self.later.choice([-1.0, 0.0, 1.0]))
            said[f"soft_{hue}_hue_beside_good"] = words[turn]
        return said

    def _softly(self, share: float, least: float) -> str:
        return "much-more" if share > 1.36 else self._vivid(share, least)

    def _vivid(self, share: float, least: float) -> str:
        """``least``: the share by which chroma must differ to be seen."""
        if share > 1.0 + least:
            return "more"
        return "same" if share > 1.0 - least else "less" if share > 0.62 else "much-less"


_LOOKED_AT: dict[str, Floats] = {
    "black": np.zeros((1, 3)),
    "middle": _MIDDLE,
    "mixed": _MIXED,
    "full": _FULL,
    "greens": _LIGHT_GREENS,
}


def _chroma(lab: Floats) -> float:
    return max(float(np.hypot(lab[:, 1], lab[:, 2]).mean()), 0.5)


def _hue(lab: Floats) -> Floats:
    return np.asarray(np.degrees(np.arctan2(lab[:, 2], lab[:, 1])))


def read_by_eye(rng: np.random.Generator, scene: Scene) -> tuple[Reading, Reading | None, Reading | None]:
    """The answers of one person as the project's own form takes them; what lies beside is in the answers."""
    filled = answers_from(Person(rng).answers(scene))
    return read_answers(filled, scene.laid.sheet, trial=scene.laid.trial.id), None, None
