"""Groups of the teacher's prints: one works, one way, one fault and one scanner, eight cards."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.causes.diagnosis import WeighedStates, before_reading, weigh_states
from tackside.verdict.causes.traits import NOTHING_READ
from tackside.verdict.classifier.features import Circumstances, Known
from tackside.verdict.classifier.likelihoods import likelihoods_of_colours
from training.groups import DIFFERS, EIGHT, MOVED_DE00, ODDS, OF_PATHS, Group, draw_fault, share_of_bare
from training.teacher.prints import KINDS
from training.teacher.scanners import eyeglass
from training.teacher.ways import Damage, Way, draw_damage, laid, random_rendering
from training.teacher.works import Works, another_pack, works


def draw_group(rng: np.random.Generator) -> Group:
    """A printer, a way, a fault and eight cards at random."""
    at = works(rng)
    fault = draw_fault(rng)
    number = int(rng.integers(3))
    way = _way(at, number, fault, rng)
    damage = draw_damage(fault, rng)
    device = eyeglass(rng)
    made_for, base = at.coated[number]
    beside: Floats | None = None
    known: Known = "typical"
    if rng.random() < 0.5:
        other = int(rng.integers(3))
        good = replace(way, profile=at.profiles[other], driver=at.drivers[other])
        on = another_pack(at.coated[other][0], 0.3, rng)
        beside, known = device.read(laid(good, Damage("none"), on), rng)[0], "other-card"
    of = Circumstances(
        known=known,
        space=None if way.kind == "device" else way.space,
        base=base if rng.random() < 0.6 else None,
        intent=None,
        compensated=None,
        colorimetric=device.colorimetric,
        de00=device.de00,
    )
    share = share_of_bare(rng)
    prints, bare, moved = [], [], []
    for _ in range(EIGHT):
        on_bare = bool(rng.random() < share)
        card = another_pack(at.bare[rng.integers(2)] if on_bare else made_for, 1.0, rng)
        own = damage if rng.random() >= DIFFERS else draw_damage(_own_fault(rng, way), rng)
        shown = laid(way, own, card)
        seen, cut = device.read(shown, rng)
        prints.append(_weighed(seen, beside, replace(of, cut=cut)))
        bare.append(on_bare)
        moved.append(delta_e_2000(laid(way, damage, card), laid(way, Damage("none"), card)).mean())
    return Group(fault, float(np.mean(moved)) >= MOVED_DE00, tuple(prints), tuple(bare))


def _own_fault(rng: np.random.Generator, way: Way) -> Cause:
    """Of a print that is made otherwise than the rest."""
    fault = draw_fault(rng)
    return "none" if way.kind == "device" and fault in OF_PATHS else fault


def _way(at: Works, number: int, fault: Cause, rng: np.random.Generator) -> Way:
    kind = KINDS[rng.choice(3, p=[0.6, 0.25, 0.15])]
    if kind == "evened" and at.device.press is not None:
        kind = "driver"
    if fault not in OF_PATHS and rng.random() < 0.15:
        kind = "device"
    space: Space = "srgb" if rng.random() < 0.5 else "adobe-rgb"
    if "-read-as-" in fault:
        space = "adobe-rgb" if fault == "wide-read-as-narrow" else "srgb"
    intent, compensated = random_rendering(rng)
    return Way(kind, space, at.device, at.profiles[number], at.drivers[number], intent, compensated, at.tone)


def _weighed(seen: Floats, beside: Floats | None, of: Circumstances) -> WeighedStates:
    said = likelihoods_of_colours(seen, beside, of)
    after = weigh_states(ODDS, said.coated, said.bare, said.unknown, NOTHING_READ)
    return WeighedStates(before_reading(ODDS).states, after.states)
