"""What a profile promised of a sheet that was printed through it, beside what came."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.bench.store import Bench
from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.profile.match.match_advice import USABLE, VISIBLE
from tackside.records.trial import SentThrough
from tackside.workflow.pictures.read_cards import reading_of

WORST = 5
GREY = 1 / 255  # apart at most, of a patch's numbers


@dataclass(frozen=True)
class KeptPromise:
    """One patch: CIELAB as promised and as it came, ICC-absolute, and how far apart, ΔE00."""

    name: str
    asked: tuple[float, float, float]
    promised: tuple[float, float, float]
    came: tuple[float, float, float]
    de00: float


@dataclass(frozen=True, eq=False)
class ProfileCheck:
    """ΔE00 over all ``patches``, the farthest apart first; ``paper`` and ``black`` alone, None where not read.

    ``shift``: by how much greys came lighter (L*), redder (a*) and yellower (b*) than promised, in the middle.
    ``uncertainty``: the reading's own, ΔE00.
    """

    trial: str
    through: SentThrough
    patches: tuple[KeptPromise, ...]
    median: float
    p95: float
    paper: float | None
    black: float | None
    shift: tuple[float, float, float] | None
    uncertainty: float
    told: Message
    notices: tuple[Message, ...]

    @property
    def worst(self) -> tuple[KeptPromise, ...]:
        return self.patches[:WORST]


def check_profile(bench: Bench, trial: str) -> ProfileCheck:
    """The reading of a trial beside what the profile promised that its sheet went through.

    Raises NotFound, BadRequest where the sheet went through no profile, or no patch was read.
    """
    found = bench.trials.get(trial)
    if found.through is None:
        raise BadRequest("own-profile.sheet-through-none", trial=found.id)
    reading = reading_of(bench, found.id).reading
    promised = {
        patch.name: (patch.rgb, lab)
        for patch, lab in zip(found.sheet.patches, found.through.promised, strict=True)
    }
    read = [patch for patch in reading.patches if patch.name in promised]
    if not read:
        raise BadRequest("own-profile.nothing-read", trial=found.id)
    asked = np.array([promised[patch.name][0] for patch in read])
    there = np.array([promised[patch.name][1] for patch in read])
    came = np.array([patch.lab for patch in read])
    apart = delta_e_2000(came, there)
    patches = [
        KeptPromise(patch.name, *promised[patch.name], patch.lab, float(each))
        for patch, each in zip(read, apart, strict=True)
    ]
    median, p95 = float(np.median(apart)), float(np.percentile(apart, 95))
    return ProfileCheck(
        found.id,
        found.through,
        tuple(sorted(patches, key=lambda each: -each.de00)),
        median,
        p95,
        _alone(apart, asked, 1.0),
        _alone(apart, asked, 0.0),
        _shift(came - there, asked),
        reading.uncertainty.de00,
        Message(f"own-profile.check.{_verdict(median)}", median=median, p95=p95, trial=found.id),
        reading.notices,
    )


def _verdict(median: float) -> str:
    if median <= VISIBLE:
        return "kept"
    return "near" if median <= USABLE else "broken"


def _alone(apart: Floats, asked: Floats, level: float) -> float | None:
    rows = np.all(np.abs(asked - level) < GREY / 2, axis=1)
    return float(np.median(apart[rows])) if rows.any() else None


def _shift(moved: Floats, asked: Floats) -> tuple[float, float, float] | None:
    greys = np.ptp(asked, axis=1) < GREY / 2
    if not greys.any():
        return None
    light, red, yellow = (float(each) for each in np.median(moved[greys], axis=0))
    return light, red, yellow
