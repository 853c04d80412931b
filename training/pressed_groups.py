"""Groups of prints on the virtual press: one printer with one fault and one scanner, eight cards, whole verdicts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tackside.press.printer.printer_model import PrinterModel
from tackside.records.sheet_plan import Space
from tackside.verdict.causes.diagnosis import WeighedStates, before_reading
from tackside.verdict.judge import judge_with_finding
from tackside.verdict.known_print import KnownPrint
from training.groups import DIFFERS, EIGHT, MOVED_DE00, ODDS, Group, draw_fault, share_of_bare
from training.prints import moved_by, plan_of, read_in_figures, trial_of, with_faults
from training.scanners import instrument, random_scanner
from training.stocks import training, varied


def draw_group(rng: np.random.Generator) -> Group:
    """A fault that nobody knows is red and blue exchanged."""
    families = training()
    family = families[rng.integers(len(families))]
    fault = draw_fault(rng)
    made_for, _ = family.coated[rng.integers(len(family.coated))]
    space: Space = "adobe-rgb" if rng.random() < 0.5 else "srgb"
    if "-read-as-" in fault:
        space = "adobe-rgb" if fault == "wide-read-as-narrow" else "srgb"
    sound = PrinterModel(reads_as=space, media=made_for)
    scanner = random_scanner(rng) if rng.random() < 0.7 else instrument()
    plan = plan_of(space)
    reference = None
    if rng.random() < 0.5:
        known, _ = family.coated[rng.integers(len(family.coated))]
        good = trial_of("KNOWNCRD", plan, "front", "Known card")
        on, by = varied(known, rng, 1.0), replace(sound, media=known)
        reference = KnownPrint(read_in_figures(good, on, by, scanner, rng, False), good)
    share = share_of_bare(rng)
    faulty = with_faults(sound, (fault,), rng)
    prints, bare, moved = [], [], []
    for number in range(EIGHT):
        on_bare = bool(rng.random() < share)
        card = varied(family.bare[rng.integers(len(family.bare))] if on_bare else made_for, rng, 1.0)
        own, printer = fault, faulty
        if rng.random() < DIFFERS:
            own = draw_fault(rng)
            printer = with_faults(sound, (own,), rng)
        trial = trial_of(f"TRIAL{number:03d}", plan, "front", f"Card {number}")
        reading = read_in_figures(trial, card, printer, scanner, rng, own == "unknown")
        finding = judge_with_finding(KnownPrint(reading, trial, reference=reference))[1]
        prints.append(as_drawn(finding.weighed))
        bare.append(on_bare)
        moved.append(moved_by(plan, card, faulty, card, sound, swapped=fault == "unknown"))
    return Group(fault, float(np.mean(moved)) >= MOVED_DE00, tuple(prints), tuple(bare))


def as_drawn(one: WeighedStates) -> WeighedStates:
    """What the reading says, after odds by which these groups are drawn."""
    before = before_reading(ODDS).states
    after = {state: chance * one.after[state] / one.before[state] for state, chance in before.items()}
    total = sum(after.values())
    return replace(one, before=before, after={state: chance / total for state, chance in after.items()})
