"""A test sheet sent through a profile: its numbers converted as a card's pictures are, and what it promises."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.bench.store import Bench
from tackside.card.pixels.conversion import OutputColour
from tackside.colour.spaces import RGB_SPACES, rgb_to_lab
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.profile.device.device import Intent, ProfileDevice
from tackside.profile.icc.files import PROFILE_SUFFIXES, read_profile_file
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import SheetPlan, Trial
from tackside.records.sheet_plan import Space
from tackside.records.trial import SentThrough
from tackside.workflow.pictures.proof_card import printer_profile

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class SheetProfile:
    """A printer's profile (its bytes, by the ``name`` of its file), and the way through it."""

    data: bytes
    name: str
    intent: Intent = "relative"
    bpc: bool = True

    @cached_property
    def device(self) -> ProfileDevice:
        return ProfileDevice(self.data)

    def converted(self, pixels: Pixels, space: Space) -> Pixels:
        """RGB of a working space (h, w, 3) as the printer's numbers, as ``card make`` converts; white stays bare."""
        height, width = pixels.shape[:2]
        image = pyvips.Image.new_from_memory(
            np.ascontiguousarray(pixels).data, width, height, 3, "uchar"
        ).copy(interpretation="srgb")
        colour = OutputColour(self.data, space, self.intent, self.bpc)
        done = np.array(colour.of_picture(image, working_space_profile(space)).numpy(), dtype=np.uint8)
        for start in range(0, height, 512):  # a mask of a whole sheet would take as much memory as the sheet
            rows = slice(start, start + 512)
            done[rows][(pixels[rows] == 255).all(axis=-1)] = 255
        return done

    def sent(self, plan: SheetPlan, sha256: str) -> SentThrough:
        """What a sheet's patches become by it, and the colours that a proof by it shows."""
        space = _space_of(plan)
        asked = np.array([patch.rgb for patch in plan.patches])
        numbers = self.converted(np.rint(asked * 255).astype(np.uint8)[None], space)[0] / 255
        promised = self.device.to_lab(
            self.device.from_lab(rgb_to_lab(asked, RGB_SPACES[space]), self.intent, self.bpc)
        )
        return SentThrough(
            profile=self.device.name,
            sha256=sha256,
            intent=self.intent,
            black_point_compensation=self.bpc,
            numbers=_triples(numbers),
            promised=_triples(promised),
        )


def sheet_profile(named: str, intent: Intent | None, bpc: bool | None) -> SheetProfile | None:
    """The profile that a person names by its file; None where the word is no file, but what they call a profile.

    Raises NotFound for a file that is not there, BadProfile, BadRequest for one that is not for an RGB printer.
    """
    path = Path(named)
    if not path.is_file():
        if path.suffix.lower() in PROFILE_SUFFIXES:
            raise NotFound("own-profile.sheet-no-file", file=named)
        return None
    if printer_profile(path).channels != 3:
        raise BadProfile("card.profile-not-rgb", profile=named)
    way = intent or "relative"
    return SheetProfile(read_profile_file(path), path.name, way, bpc is not False and way != "absolute")


def kept_sheet_profile(bench: Bench, sha256: str, intent: Intent) -> SheetProfile:
    """A profile of the bench, with black point compensation. Raises NotFound, BadProfile."""
    kept = bench.profiles.get(sha256)
    return SheetProfile(read_profile_file(bench.file(sha256)), kept.name, intent, intent != "absolute")


def profile_of_sheet(bench: Bench, trial: Trial) -> SheetProfile | None:
    """The profile that a kept trial's sheet goes through, None where it goes through none. Raises NotFound."""
    through = trial.through
    if through is None:
        return None
    data = read_profile_file(bench.file(through.sha256))
    return SheetProfile(data, through.profile, through.intent, through.black_point_compensation)


def _space_of(plan: SheetPlan) -> Space:
    if plan.space is None:
        raise BadRequest("own-profile.sheet-of-bare-numbers")
    return plan.space


def _triples(values: NDArray[Any] | Sequence[Sequence[float]]) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(one), float(two), float(three)) for one, two, three in values)
