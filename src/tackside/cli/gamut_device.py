"""What ``gamut`` is asked about: a trial, an instrument file or a profile, as a solid of colours."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Literal

import numpy as np

from tackside.cli.card_reading import FoundReading, reading_of_file, reading_of_trial
from tackside.cli.profile_files import profile_bytes
from tackside.colour.spaces import Floats
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.profile.black_point import relative_lightness
from tackside.profile.convert import device_to_lab_by_profile, require_usable
from tackside.profile.device_model import DeviceModel
from tackside.profile.gamut_solid import GamutSolid, deepest_neutral, solid_of
from tackside.profile.inspect import describe, profile_class

CHANNELS = {"RGB": 3, "CMYK": 4}
SIGNATURE = slice(36, 40)  # ISO 15076-1, 7.2: bytes 36 to 39 are "acsp"


@dataclass(frozen=True, eq=False)
class GamutDevice:
    """``solid`` is ICC-absolute, paper included; ``basis`` says where the colours come from.

    ``comparable_with`` is the reading's key (records.Uncertainty); a profile is taken for colorimetric.
    """

    name: str
    kind: Literal["profile", "reading"]
    basis: str
    solid: GamutSolid
    white_lab: Floats
    black_lab: Floats
    comparable_with: str = "colorimetric"
    notices: tuple[str, ...] = ()

    @cached_property
    def relative_solid(self) -> GamutSolid:
        """The solid beside its own white, L* 100."""
        return self.solid.relative(self.white_lab)

    @property
    def relative_black_l(self) -> float:
        return relative_lightness(self.black_lab, self.white_lab)


def gamut_device(named: str) -> GamutDevice:
    """The device that ``named`` means: a file that is there, else a trial. Raises the errors of either."""
    path = Path(named)
    if path.is_dir():
        raise BadRequest(f"{named} is a folder", "name one profile, instrument file or trial")
    if not path.is_file():
        try:
            return _of_reading(reading_of_trial(named))
        except NotFound as error:
            if path.suffix or len(path.parts) > 1:
                raise NotFound(
                    f"{named} is not there", "check the path, or name a trial by its id"
                ) from error
            raise
    content = profile_bytes(path)
    if content[SIGNATURE] == b"acsp" or path.suffix.lower() in (".icc", ".icm"):
        return _of_profile(path.name, content)
    return _of_reading(reading_of_file(path))


def _of_reading(found: FoundReading) -> GamutDevice:
    model = DeviceModel.fitted(found.reading, found.plan)
    notices = list(found.reading.notices)
    if found.through_path:
        notices.append(
            "The sheet was printed through colour management: this is what the whole path reaches, maybe less than "
            "what the card holds."
        )
    if found.reading.kind == "scan":
        notices.append(
            f"The colours come from a scan, good to about ΔE00 {found.reading.uncertainty.de00:.1f}."
        )
    basis = (
        f"a model of {len(model.spline.points)} patches (each from the others: ΔE00 median {model.error_median:.2f}, "
        f"95th percentile {model.error_p95:.2f})"
    )
    key = found.reading.uncertainty.comparable_with
    return GamutDevice(
        found.title, "reading", basis, model.solid, model.white_lab, model.black_lab, key, tuple(notices)
    )


def _of_profile(name: str, profile: bytes) -> GamutDevice:
    kind, space = profile_class(profile), require_usable(profile)
    if kind == "input" or space not in CHANNELS:
        raise BadProfile(
            f'the colour profile "{describe(profile)}" is of the class {kind}, for {space} numbers',
            "choose the profile of a printer, a display or a working space, for RGB or CMYK",
        )

    def absolute(numbers: Floats) -> Floats:
        return device_to_lab_by_profile(numbers, profile, intent="absolute")

    channels = CHANNELS[space]
    solid = solid_of(absolute, channels)
    white = absolute(np.ones((1, 3)) if channels == 3 else np.zeros((1, 4)))[0]
    black = absolute(np.zeros((1, 3)))[0] if channels == 3 else deepest_neutral(solid)
    basis = "the profile's colorimetric table, ICC-absolute"
    return GamutDevice(f"{describe(profile)} ({name})", "profile", basis, solid, white, black)
