"""Groups of the examiner's prints: one engine, one way, one fault and one device, eight cards, whole verdicts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tackside.records.verdict import Cause
from tackside.verdict.causes.diagnosis import WeighedStates
from tackside.verdict.causes.symptoms import PATHS
from tackside.verdict.judge import judge_with_finding
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.together.shared import DIFFERS
from training.examiner import sheets
from training.examiner.examined import at_hand
from training.examiner.figures import BY_INSTRUMENT, device_for, read_one
from training.examiner.prints import Print, has_moved, moved_by, sound_route, spoilt
from training.examiner.scenes import Laid, space_for
from training.examiner.works import Work, draw_work

# Cards of a group differ as a user's packs do, and as much again.
_VARIED = 2.0
EIGHT = 8
# How often each fault is drawn as the common one. Shares of bare cards differ from tester to tester: a quarter, by a
# beta distribution.
_SOUND, _UNKNOWN = 0.4, 0.11
_BARE = (0.5, 1.5)


@dataclass(frozen=True, eq=False)
class ExaminedGroup:
    """A group's common fault, whether that moved it, what each print says, and which of them are on bare card."""

    fault: Cause
    moved: bool
    prints: tuple[WeighedStates, ...]
    bare: tuple[bool, ...]


def draw_groups(count: int, seed: int) -> list[ExaminedGroup]:
    """``count`` groups, three of each work; the same for the same seed."""
    rng = np.random.default_rng([seed, 29])
    kinds = at_hand()
    found: list[ExaminedGroup] = []
    while len(found) < count:
        work = draw_work(rng, kinds[int(rng.integers(len(kinds)))])
        found += [draw_group(rng, work) for _ in range(min(3, count - len(found)))]
    return found


def draw_group(rng: np.random.Generator, work: Work) -> ExaminedGroup:
    """A way through this work's profile or driver, a fault, a device, and eight cards that all differ."""
    fault = draw_fault(rng)
    truth = (fault,)
    space = space_for(rng, truth)
    route = sound_route(rng, work, "coated", space)
    sound = Print(work.coated, route)
    faulty = _spoilt(rng, work, sound, fault, space)
    device = device_for(rng, 1, bool(rng.random() < BY_INSTRUMENT))
    size = sheets.SIZES[int(rng.integers(len(sheets.SIZES)))]
    settings = sheets.noted(rng, route, truth, space)
    reference = None
    if rng.random() < 0.5:
        good = Print(work.other.another(rng, 0.3), sound_route(rng, work, "other", space))
        sheet = sheets.plan(size, space, "front", 600.0, "t9")
        beside = Laid(
            good, sheets.trial("t9", "known", sheet, sheets.noted(rng, good.route, ("none",), space), "front")
        )
        reference = KnownPrint(read_one(rng, device, beside), beside.trial)
    share = rng.beta(*_BARE)
    prints, bare, moved = [], [], []
    for number in range(EIGHT):
        on_bare = bool(rng.random() < share)
        card = (work.bare if on_bare else work.coated).another(rng, _VARIED)
        made = faulty
        if rng.random() < DIFFERS:
            made = _spoilt(rng, work, sound, draw_fault(rng), space)
        identity = f"t{number + 1}"
        sheet = sheets.plan(size, space, "front", 600.0, identity)
        its = sheets.situation(rng, ("stock",) if on_bare else ("none",), card, size, False)
        laid = Laid(
            replace(made, card=card), sheets.trial(identity, f"card {number}", sheet, settings, "front")
        )
        known = KnownPrint(read_one(rng, device, laid), laid.trial, its.stock, reference=reference)
        prints.append(judge_with_finding(known)[1].weighed)
        bare.append(on_bare)
        moved.append(moved_by(replace(faulty, card=card), replace(sound, card=card), laid.asked, space))
    return ExaminedGroup(fault, has_moved(faulty, float(np.mean(moved))), tuple(prints), tuple(bare))


def draw_fault(rng: np.random.Generator) -> Cause:
    faults = [cause for cause in PATHS if cause != "none"]
    each = (1.0 - _SOUND - _UNKNOWN) / len(faults)
    causes: list[Cause] = ["none", *faults, "unknown"]
    return causes[rng.choice(len(causes), p=[_SOUND, *(each for _ in faults), _UNKNOWN])]


def _spoilt(rng: np.random.Generator, work: Work, sound: Print, fault: Cause, space: str) -> Print:
    return sound if fault == "none" else spoilt(rng, work, sound, (fault,), space)  # type: ignore[arg-type]
