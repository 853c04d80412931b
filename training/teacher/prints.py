"""Prints to teach on, as rows of figures: invented works, a way to print, a fault, the print beside it, a scanner."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.records.sheet_plan import Space
from tackside.verdict.classifier.features import PAPER_ROW, SAMPLED_AT, Circumstances, Known, features
from tackside.verdict.classifier.likelihoods import STATES, State
from training.teacher.device import Card, relative
from training.teacher.dyes import DyePress
from training.teacher.rendering import Intent
from training.teacher.scanners import eyeglass
from training.teacher.ways import Damage, Kind, Way, draw_damage, laid, random_rendering
from training.teacher.works import Works, another_pack, works

EACH_WORKS = 60
# How often each state is drawn: sound ones more, since they must not be accused.
_OFTEN: dict[State, float] = {("none", False): 9.0, ("none", True): 3.0, ("unknown", False): 2.5}
_SHARES = np.array([_OFTEN.get(state, 1.0 if state[1] else 2.0) for state in STATES])
SHARES = _SHARES / _SHARES.sum()
KINDS: tuple[Kind, ...] = ("application", "driver", "evened", "toned", "device")
_KIND_SHARES = (0.5, 0.18, 0.12, 0.08, 0.12)
# What a driver that tones colours can be said to do wrong.
_TONED = ("none", "too-little-ink", "wide-read-as-narrow", "narrow-read-as-wide", "unknown")
# On a sheet of bare device numbers nobody converts anything.
_OF_PATHS = ("managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide")
_KNOWN: tuple[Known, ...] = ("same-card", "other-card", "typical")
_NOTED = 0.5


@dataclass(frozen=True, eq=False)
class Drawn:
    """A print and the good one beside it: where each was printed and how."""

    way: Way
    card: Card
    base: str
    beside: tuple[Way, Card] | None
    known: Known


Renderings = tuple[tuple[Intent, bool], ...]
Row = Callable[[Works, Renderings, State, np.random.Generator], Floats]


def feature_rows(count: int, seed: int) -> tuple[Floats, Floats]:
    """Rows of figures (count, d) and their states, as places in STATES (count,)."""
    return shown(_row, count, seed)


def shown(row: Row, count: int, seed: int) -> tuple[Floats, Floats]:
    """``row`` of one print after the other, and their states: as for ``feature_rows``."""
    rows, states = [], []
    for at, renderings, place, rng in states_drawn(count, seed):
        rows.append(row(at, renderings, STATES[place], rng))
        states.append(place)
    return np.array(rows, dtype=np.float32), np.array(states)


def states_drawn(count: int, seed: int) -> Iterator[tuple[Works, Renderings, int, np.random.Generator]]:
    """Works and renderings, and a state as its place in STATES, of one print after the other; the print itself is
    still to be drawn from the generator."""
    rng = np.random.default_rng(seed)
    for number in range(count):
        if number % EACH_WORKS == 0:
            at = works(rng)
            renderings = tuple(random_rendering(rng) for _ in range(2))
        yield at, renderings, int(rng.choice(len(STATES), p=SHARES)), rng


def drawn(at: Works, renderings: Renderings, state: State, rng: np.random.Generator) -> Drawn:
    """Where and how a print of this state is made, and what lies beside it."""
    cause, on_bare = state
    kind = KINDS[rng.choice(5, p=_KIND_SHARES)]
    if (cause in _OF_PATHS and kind == "device") or (kind == "toned" and cause not in _TONED):
        kind = "application"
    if kind == "evened" and at.device.press is not None:
        kind = "driver"  # nobody knows the curves that would even out its greys
    space: Space = "srgb" if rng.random() < 0.5 else "adobe-rgb"
    if "-read-as-" in cause:
        space = "adobe-rgb" if cause == "wide-read-as-narrow" else "srgb"
    number = int(rng.integers(3))
    intent, compensated = renderings[rng.integers(len(renderings))]
    way = _way(at, kind, space, number, intent, compensated)
    made_for, base = at.coated[number]
    coated = another_pack(made_for, float(rng.choice([0.2, 0.6])), rng)
    card = another_pack(at.bare[rng.integers(2)], 0.6, rng) if on_bare else coated
    known = _KNOWN[rng.choice(3, p=[0.35, 0.3, 0.35])]
    if known == "same-card" and on_bare and rng.random() < 0.7:
        known = "other-card"  # else it is the wrong side of the known card
    if known == "typical":
        return Drawn(way, card, base, None, known)
    if rng.random() < 0.8:
        theirs = (kind, intent, compensated)
    else:  # made by other settings, and good all the same
        other_kind = kind if kind == "device" else KINDS[rng.integers(3)]
        other_kind = "driver" if other_kind == "evened" and at.device.press is not None else other_kind
        theirs = (other_kind, *renderings[rng.integers(len(renderings))])
    if known == "same-card":
        again = way if theirs[0] == kind else _way(at, theirs[0], space, number, *theirs[1:])
        pack = 0.0 if rng.random() < 0.25 else 0.2
        return Drawn(way, card, base, (again, another_pack(coated, pack, rng)), known)
    of = int(rng.integers(3))
    elsewhere = _way(at, theirs[0], space, of, *theirs[1:])
    return Drawn(way, card, base, (elsewhere, another_pack(at.coated[of][0], 0.3, rng)), known)


def _way(at: Works, kind: Kind, space: Space, number: int, intent: Intent, compensated: bool) -> Way:
    return Way(kind, space, at.device, at.profiles[number], at.drivers[number], intent, compensated, at.tone)


def damage_to(at: Works, state: State, rng: np.random.Generator, numbers: Floats = SAMPLED_AT) -> Damage:
    """A state's fault at a degree of chance, laid at these numbers; no ink goes missing that the press has not."""
    damage = draw_damage(state[0], rng, numbers)
    while damage.gone == ("k",) and isinstance(at.device.press, DyePress) and not at.device.press.has_black:
        damage = draw_damage(state[0], rng, numbers)
    return damage


def _row(at: Works, renderings: Renderings, state: State, rng: np.random.Generator) -> Floats:
    one, damage = drawn(at, renderings, state, rng), damage_to(at, state, rng)
    device = eyeglass(rng)
    seen, cut = device.read(laid(one.way, damage, one.card), rng)
    known, beside = one.known, None
    if one.beside is not None:
        good = laid(one.beside[0], Damage("none"), one.beside[1])
        if device.colorimetric and rng.random() < 0.2 and one.way.kind == "application":
            known = "predicted"
            beside = _predicted(one, seen, rng)
        else:
            beside, _ = device.read(good, rng)
    return features(
        seen,
        beside,
        circumstances(one, rng, known=known, colorimetric=device.colorimetric, de00=device.de00, cut=cut),
    )


def circumstances(
    one: Drawn, rng: np.random.Generator, *, known: Known, colorimetric: bool, de00: float, cut: bool = False
) -> Circumstances:
    """What somebody notes of a print: its card now and then, its intent as often as not."""
    noted = one.way.kind == "application" and rng.random() < _NOTED
    return Circumstances(
        known=known,
        space=None if one.way.kind == "device" else one.way.space,
        base=one.base if rng.random() < 0.6 else None,
        intent=one.way.intent if noted else None,
        compensated=one.way.compensated if noted and one.way.intent == "relative" else None,
        colorimetric=colorimetric,
        de00=de00,
        cut=cut,
    )


def _predicted(one: Drawn, seen: Floats, rng: np.random.Generator) -> Floats:
    """What the profile says that this path shows, on the card it was made of or laid on the paper that was read."""
    profile = one.way.profile
    shown = laid(one.way, Damage("none"), profile.card)
    if rng.random() < 0.5:
        return shown
    light = lab_to_xyz(relative(shown, shown[PAPER_ROW]))
    white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
    return np.asarray(xyz_to_lab(light * lab_to_xyz(seen[PAPER_ROW]) / white))
