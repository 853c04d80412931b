"""Scenes: a print with its truth and records, and the prints that lie beside it, before anyone reads them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from tackside.colour.spaces import Floats
from tackside.profile.icc.working_space import SpaceName
from tackside.records import SheetPlan, Stock, Trial
from tackside.records.verdict import Cause
from training.examiner import sheets
from training.examiner.prints import (
    CARD_FAULTS,
    FAULTS,
    PAIRS,
    Print,
    has_moved,
    moved_by,
    other_settings,
    sound_route,
    spoilt,
)
from training.examiner.works import Work

Beside = Literal["same card", "known card", "none"]
# Shares of what is drawn; the rest has one fault. A bare card through its own profile is told by ``OWN_WAY``.
SOUND, OWN_WAY, PAIRED = 0.34, 0.06, 0.08
# Of sound prints beside one on the same card: the very same print, read once or twice.
TWIN = 0.2
SAME_SETTINGS, SAME_SPACE = 0.7, 0.85


@dataclass(frozen=True, eq=False)
class Laid:
    """A print with its trial, as it lies before a reader."""

    made: Print
    trial: Trial

    @property
    def sheet(self) -> SheetPlan:
        return self.trial.sheet

    @property
    def space(self) -> SpaceName:
        space = self.trial.sheet.space
        assert space is not None
        return space

    @property
    def asked(self) -> Floats:
        """File numbers (n, 3) of the sheet's patches, 0 to 1."""
        return np.array([patch.rgb for patch in self.sheet.patches])


@dataclass(frozen=True, eq=False)
class Scene:
    """``sound``: the same print with nothing wrong. ``read_once``: the reference is this print's own reading."""

    truth: tuple[Cause, ...]
    work: Work
    stock: Stock
    laid: Laid
    sound: Print
    reference: Laid | None
    other_side: Laid | None
    read_once: bool
    beside: Beside
    own_way: bool

    @property
    def moved_de00(self) -> float:
        return moved_by(self.laid.made, self.sound, self.laid.asked, self.laid.space)

    @property
    def moved(self) -> bool:
        return has_moved(self.laid.made, self.moved_de00)


def draw_scene(
    rng: np.random.Generator, work: Work, beside: Beside, ppi: float, sizes: tuple[tuple[float, float], ...]
) -> Scene:
    """One print on this work's cards, and what lies beside it."""
    truth, own_way = _truth(rng, beside)
    space = space_for(rng, truth)
    size = sizes[int(rng.integers(len(sizes)))]
    route = sound_route(rng, work, "coated", space)
    sound = Print(work.coated.another(rng, 0.3), route)
    made = spoilt(rng, work, sound, truth if truth != ("none",) else (), space)
    if own_way:
        made = replace(made, route=sound_route(rng, work, "bare", space))
    its = sheets.situation(rng, truth, made.card, size, beside == "same card")
    believed = route if not own_way else made.route
    sheet = sheets.plan(size, space, its.side, ppi, "t1")
    trial = sheets.trial("t1", "card", sheet, sheets.noted(rng, believed, truth, space), its.side)
    laid = Laid(made, trial)
    reference, once = _reference(rng, work, laid, sound, truth, beside)
    other = None
    if its.other_side:
        back = sheets.plan(size, space, "back", ppi, "t3")
        other = Laid(sound, sheets.trial("t3", "card", back, trial.settings, "back"))
    return Scene(truth, work, its.stock, laid, sound, reference, other, once, beside, own_way)


def _truth(rng: np.random.Generator, beside: Beside) -> tuple[tuple[Cause, ...], bool]:
    at = rng.random()
    if at < SOUND:
        return ("none",), False
    if at < SOUND + OWN_WAY and beside != "same card":
        return ("stock",), True
    truth: tuple[Cause, ...]
    if at < SOUND + OWN_WAY + PAIRED:
        truth = PAIRS[int(rng.integers(len(PAIRS)))]
    else:
        truth = (FAULTS[int(rng.integers(len(FAULTS)))],)
    if beside == "same card":
        # On the same card there is a coated face: what is bare is its other side.
        return tuple("side" if fault in CARD_FAULTS else fault for fault in truth), False
    return truth, False


def space_for(rng: np.random.Generator, truth: tuple[Cause, ...]) -> SpaceName:
    if "wide-read-as-narrow" in truth:
        return "adobe-rgb"
    if "narrow-read-as-wide" in truth:
        return "srgb"
    return "srgb" if rng.random() < 0.6 else "adobe-rgb"


def _reference(
    rng: np.random.Generator, work: Work, laid: Laid, sound: Print, truth: tuple[Cause, ...], beside: Beside
) -> tuple[Laid | None, bool]:
    if beside == "none":
        return None, False
    same = beside == "same card"
    if same and truth == ("none",) and rng.random() < TWIN:
        twin = sheets.plan(laid.sheet.size_mm, laid.space, laid.trial.side, laid.sheet.ppi, "t2")
        trial = laid.trial.model_copy(update={"id": "t2", "sheet": twin})
        return Laid(laid.made, trial), bool(rng.random() < 0.5)
    space = (
        laid.space if rng.random() < SAME_SPACE else ("srgb" if laid.space == "adobe-rgb" else "adobe-rgb")
    )
    if not same:
        route = sound_route(rng, work, "other", space)
        good = Print(work.other.another(rng, 0.3), route)
    else:
        route = sound.route
        if route.by_driver and space != "srgb":
            route = replace(route, driver=None)
        if rng.random() > SAME_SETTINGS:
            route = other_settings(rng, work, route)
        good = Print(work.coated.another(rng, 0.3), route)
    side = laid.trial.side
    if same and "side" in truth:
        side = "front" if laid.trial.side == "back" else "back"
    sheet = sheets.plan(laid.sheet.size_mm, space, side, laid.sheet.ppi, "t2")
    settings = sheets.noted(rng, route, ("none",), space)
    return Laid(good, sheets.trial("t2", "card" if same else "known", sheet, settings, side)), False
