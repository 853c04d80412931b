"""Which next print or act would settle most of what is open, for what it costs.

Steps are ranked by gain / cost. For a step with outcomes o,

    gain = H(p) − Σ P(o) H(p | o)           bits: Lindley's expected information (docs/sources.md, S98)
    cost = sheets + minutes / MINUTES_A_SHEET    sheets of card, a person's time counted in them

p are the probabilities of each fault alone and of each pair of faults that may be at work together. How often each
cause leads to which outcome is this project's own estimate, after the table from symptom to cause (docs/sources.md,
S50); so are the costs. Under a pair a step shows its first outcome unless both faults fail to bring it about
(1 − (1 − a)(1 − b), a noisy or).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tackside.messages.message import Message
from tackside.records.verdict import Cause, NextStep

# Steps that gain less, in bits or as a share of what is open, settle nothing.
LEAST_GAIN_BITS, LEAST_SHARE = 0.05, 0.1
# From this chance on a fault that may be at work with another is mended in the print of another step.
MENDED = 0.25
# Minutes of a person's time that weigh as much as a sheet of card.
MINUTES_A_SHEET = 30.0
# Printing a sheet, scanning it and reading it back takes about so long, drying left aside.
_PRINTING, _MAINTENANCE = 15.0, 5.0

# What of the way a sheet is printed puts a fault right, so that it can be mended within another step's print; what is
# to be seen to stands under ``step.mend.NAME``.
MENDS: dict[Cause, str] = {
    "managed-twice": "manage-once",
    "unmanaged": "manage-once",
    "wide-read-as-narrow": "keep-space",
    "narrow-read-as-wide": "keep-space",
    "too-little-ink": "more-ink",
    "too-much-ink": "less-ink",
    "scaling": "true-size",
}
_PATH: frozenset[Cause] = frozenset(
    {"managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide"}
)


@dataclass(frozen=True)
class NextPrint:
    """``chances``: for each cause, how often each outcome follows; ``otherwise`` for causes not named.

    What it says stands under ``step.ID``, with its cost in words: ``sheets`` of card, a quarter for a plain sheet, and
    ``minutes`` of a person's time. ``prints``: it prints the sheet again through the path. ``addresses``: faults that
    it puts right or looks past. ``decides``: its outcome is read as one of these *or* something else, so it is no step
    where one of these is at work together with something else. ``repeats``: faults that it commits itself, on purpose.
    """

    id: str
    sheets: float
    minutes: float
    chances: dict[Cause, tuple[float, ...]]
    otherwise: tuple[float, ...]
    prints: bool = False
    addresses: frozenset[Cause] = frozenset()
    decides: frozenset[Cause] = frozenset()
    repeats: frozenset[Cause] = frozenset()

    @property
    def cost(self) -> float:
        """In sheets of card."""
        return self.sheets + self.minutes / MINUTES_A_SHEET

    def contradicts(self, pair: tuple[Cause, Cause]) -> bool:
        """Whether the step takes for absent, or does on purpose, one of two faults that are at work together."""
        return len(self.decides.intersection(pair)) == 1 or not self.repeats.isdisjoint(pair)


# Outcomes: (much better, about the same) unless a step says otherwise.
STEPS: tuple[NextPrint, ...] = (
    NextPrint(
        "other-side",
        1.0,
        _PRINTING,
        # much better, the same, much worse
        {"side": (0.96, 0.03, 0.01), "stock": (0.03, 0.94, 0.03), "none": (0.02, 0.38, 0.6)},
        (0.04, 0.48, 0.48),
        prints=True,
        addresses=frozenset({"side"}),
    ),
    NextPrint(
        "known-card",
        1.0,
        _PRINTING,
        {"stock": (0.95, 0.05), "side": (0.95, 0.05), "none": (0.1, 0.9), "too-much-ink": (0.5, 0.5)},
        (0.06, 0.94),
        prints=True,
        addresses=frozenset({"stock", "side"}),
        decides=frozenset({"stock", "side"}),
    ),
    NextPrint(
        "device-sheet",
        1.0,
        _PRINTING,
        {
            "managed-twice": (0.95, 0.05),
            "unmanaged": (0.6, 0.4),
            "wide-read-as-narrow": (0.95, 0.05),
            "narrow-read-as-wide": (0.95, 0.05),
            "none": (0.9, 0.1),
            "unknown": (0.4, 0.6),
        },
        (0.05, 0.95),
        addresses=_PATH - {"unmanaged"},
        decides=_PATH,
        repeats=frozenset({"unmanaged"}),
    ),
    NextPrint(
        "manage-once",
        1.0,
        _PRINTING,
        {"managed-twice": (0.93, 0.07), "unmanaged": (0.93, 0.07), "unknown": (0.15, 0.85)},
        (0.04, 0.96),
        prints=True,
        addresses=frozenset({"managed-twice", "unmanaged"}),
    ),
    NextPrint(
        "manage-off",
        1.0,
        _PRINTING,
        # of a sheet of bare numbers, which nothing is meant to manage
        {
            "managed-twice": (0.93, 0.07),
            "wide-read-as-narrow": (0.9, 0.1),
            "narrow-read-as-wide": (0.9, 0.1),
            "unknown": (0.15, 0.85),
        },
        (0.04, 0.96),
        prints=True,
        addresses=_PATH,
    ),
    NextPrint(
        "keep-space",
        1.0,
        _PRINTING,
        {
            "wide-read-as-narrow": (0.93, 0.07),
            "narrow-read-as-wide": (0.93, 0.07),
            "unknown": (0.1, 0.9),
        },
        (0.04, 0.96),
        prints=True,
        addresses=frozenset({"wide-read-as-narrow", "narrow-read-as-wide"}),
    ),
    NextPrint(
        "media-setting",
        1.0,
        _PRINTING,
        {"too-little-ink": (0.92, 0.08), "too-much-ink": (0.92, 0.08), "unknown": (0.25, 0.75)},
        (0.05, 0.95),
        prints=True,
        addresses=frozenset({"too-little-ink", "too-much-ink"}),
    ),
    NextPrint(
        "true-size",
        1.0,
        _PRINTING,
        {"scaling": (0.95, 0.05), "unknown": (0.05, 0.95)},
        (0.02, 0.98),
        prints=True,
        addresses=frozenset({"scaling"}),
    ),
    NextPrint(
        "nozzle-check",
        0.25,
        _MAINTENANCE,
        # gaps or a missing ink, none
        {"missing-ink": (0.95, 0.05), "unknown": (0.15, 0.85)},
        (0.03, 0.97),
        addresses=frozenset({"missing-ink"}),
    ),
    NextPrint(
        "head-alignment",
        0.25,
        _MAINTENANCE,
        {"alignment": (0.95, 0.05), "unknown": (0.1, 0.9)},
        (0.04, 0.96),
        addresses=frozenset({"alignment"}),
    ),
    NextPrint(
        "measure-ruler",
        0.0,
        3.0,
        {"scaling": (0.97, 0.03), "unknown": (0.05, 0.95)},
        (0.02, 0.98),
    ),
    NextPrint(
        "rescan",
        0.0,
        10.0,
        # the fault is gone, it stays
        {"none": (0.5, 0.5), "unknown": (0.35, 0.65)},
        (0.04, 0.96),
    ),
)
_BY_ID = {step.id: step for step in STEPS}

Pairs = Mapping[tuple[Cause, Cause], float]


def next_steps(
    causes: Mapping[Cause, float], pairs: Pairs | None = None, *, done: frozenset[str] = frozenset()
) -> tuple[NextStep, ...]:
    """Steps worth taking, what settles most for its cost first; those already ``done`` are left out.

    ``pairs``: the chances of two faults at once, each within its first one's chance in ``causes``. No step contradicts
    one of them; a step that prints the sheet again names what else is to be mended in that print (``mends``).
    """
    together = dict(pairs or {})
    bare = "manage-once" in done  # a sheet of bare numbers, which nothing is meant to manage
    open_bits = _bits(np.array(list(_states(causes, together).values())))
    found = []
    for step in STEPS:
        gain = expected_gain(causes, step, together)
        if (
            step.id in done
            or gain < max(LEAST_GAIN_BITS, LEAST_SHARE * open_bits)
            or any(step.contradicts(pair) for pair in together)
        ):
            continue
        mends = mended_with(step.id, together, bare=bare)
        others = {fault for pair in together for fault in pair} & (MENDS.keys() - step.addresses)
        found.append(
            NextStep(
                step=step.id,
                gain_bits=gain,
                sheets=step.sheets,
                minutes=step.minutes,
                mends=mends,
                sentence=_sentence(step, gain, mends, alone=not others),
            )
        )
    return tuple(sorted(found, key=lambda one: -one.gain_bits / _BY_ID[one.step].cost))


def mended_with(step: str, pairs: Pairs, *, bare: bool = False) -> tuple[Cause, ...]:
    """Faults likely to be at work with another (from MENDED on) that the step does not see to itself, and that are
    mended by how its sheet is printed.

    ``step`` may be one of STEPS or any other that prints the sheet again; none for those that do not. ``bare``: of a
    sheet of bare numbers, where nothing is to be managed.
    """
    known = _BY_ID.get(step)
    if known is not None and not known.prints:
        return ()
    left = (
        frozenset(MENDS)
        - (known.addresses if known is not None else frozenset())
        - (_PATH if bare else frozenset())
    )
    chances = dict.fromkeys((fault for pair in pairs for fault in pair if fault in left), 0.0)
    for pair, chance in pairs.items():
        for fault in chances.keys() & pair:
            chances[fault] += chance
    return tuple(fault for fault, chance in chances.items() if chance >= MENDED)


def mends_in_words(mends: tuple[Cause, ...]) -> tuple[Message, ...]:
    """What is to be seen to in a print so that it mends these faults, each once."""
    return tuple(Message(f"step.mend.{name}") for name in dict.fromkeys(MENDS[fault] for fault in mends))


def expected_gain(causes: Mapping[Cause, float], step: NextPrint, pairs: Pairs | None = None) -> float:
    """Bits by which the step is expected to narrow the faults; never negative."""
    states = _states(causes, pairs or {})
    prior = np.array(list(states.values()))
    chances = np.array([_outcomes(step, faults) for faults in states])
    joint = prior[:, None] * chances
    outcomes = joint.sum(axis=0)
    after = joint / np.maximum(outcomes, 1e-300)
    return max(float(_bits(prior) - outcomes @ np.array([_bits(column) for column in after.T])), 0.0)


def _states(causes: Mapping[Cause, float], pairs: Pairs) -> dict[tuple[Cause, ...], float]:
    """Each fault alone and each pair with its chance: a pair's is taken out of the fault's that leads it."""
    alone: dict[tuple[Cause, ...], float] = {(cause,): chance for cause, chance in causes.items()}
    both: dict[tuple[Cause, ...], float] = {}
    for pair, chance in pairs.items():
        taken = min(chance, alone[pair[:1]])
        alone[pair[:1]] -= taken
        both[pair] = taken
    return {**alone, **both}


def _outcomes(step: NextPrint, faults: tuple[Cause, ...]) -> tuple[float, ...]:
    each = [step.chances.get(fault, step.otherwise) for fault in faults]
    if len(each) == 1:
        return each[0]
    first = 1.0 - float(np.prod([1.0 - one[0] for one in each]))
    rest = np.sum([one[1:] for one in each], axis=0)
    return (first, *((1.0 - first) * rest / rest.sum()).tolist())


def _sentence(step: NextPrint, gain: float, mends: tuple[Cause, ...], *, alone: bool) -> Message:
    """What the step says; ``alone``: that nothing else of the print is in doubt, so that it can be left as it was."""
    too = "-too" if step.id == "media-setting" and not alone else ""
    told = Message(f"step.{step.id}{too}", gain_bits=gain)
    return (
        Message("step.with-mends", step=told, mends=mends_in_words(mends), gain_bits=gain) if mends else told
    )


def _bits(probabilities: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    some = probabilities[probabilities > 0]
    return float(-(some * np.log2(some)).sum())
