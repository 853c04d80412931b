"""Whose gamut is looked at: a card by its reading, a profile or a working space, as a solid of colours."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np

from tackside.colour.spaces import ADOBE_RGB, SRGB, Floats, RgbSpace, relative_lightness, rgb_to_lab
from tackside.errors import BadProfile
from tackside.messages.message import Message
from tackside.profile.device.device_model import DeviceModel
from tackside.profile.gamut.gamut_solid import GamutSolid, deepest_neutral, solid_of
from tackside.profile.icc.inspect import describe, profile_class
from tackside.profile.link.convert import device_to_lab_by_profile, require_usable
from tackside.records import Reading, SheetPlan
from tackside.records.reading import ESTIMATES

Basis = Literal["relative", "absolute"]
CHANNELS = {"RGB": 3, "CMYK": 4}
SPACES: dict[str, RgbSpace] = {"srgb": SRGB, "adobe-rgb": ADOBE_RGB}
SPACE_NAMES = {"srgb": "sRGB", "adobe-rgb": "Adobe RGB (1998)"}
UNLIKE = Message("gamut.read-unlike")


@dataclass(frozen=True, eq=False)
class GamutDevice:
    """``solid`` is ICC-absolute, paper included; ``basis`` says where the colours come from.

    ``reading``: of a card, what it was read by. A profile is taken for colorimetric, and a working space is told apart
    from nothing.
    """

    name: str
    kind: Literal["profile", "reading", "space"]
    basis: Message
    solid: GamutSolid
    white_lab: Floats
    black_lab: Floats
    reading: Reading | None = None
    notices: tuple[Message, ...] = ()

    @cached_property
    def relative_solid(self) -> GamutSolid:
        """The solid beside its own white, L* 100."""
        return self.solid.relative(self.white_lab)

    @property
    def relative_black_l(self) -> float:
        return relative_lightness(self.black_lab, self.white_lab)

    def seen(self, basis: Basis) -> GamutSolid:
        """The solid with the paper (``absolute``), or beside its own white."""
        return self.solid if basis == "absolute" else self.relative_solid

    def compares_with(self, other: GamutDevice) -> bool:
        """Whether both were measured alike, so that what one holds of the other means something."""
        if "space" in (self.kind, other.kind):
            return True
        if self.reading is not None and other.reading is not None:
            return self.reading.is_read_like(other.reading)
        read = (one.reading for one in (self, other) if one.reading is not None)
        return all(one.uncertainty.comparable_with == "colorimetric" for one in read)


def gamut_of_reading(
    reading: Reading, plan: SheetPlan | None, title: str, *, through_path: bool
) -> GamutDevice:
    """A card's gamut, by a model fitted to a reading of it. Raises BadRequest."""
    model = DeviceModel.fitted(reading, plan)
    notices = list(reading.notices)
    if through_path:
        notices.append(Message("gamut.through-management"))
    if reading.kind in ESTIMATES:
        how = "scanned" if reading.kind == "scan" else "photographed"
        notices.append(Message(f"gamut.{how}", uncertainty=reading.uncertainty.de00))
    basis = Message(
        "gamut.by-model",
        patches=len(model.spline.points),
        median=model.error_median,
        p95=model.error_p95,
    )
    return GamutDevice(
        title, "reading", basis, model.solid, model.white_lab, model.black_lab, reading, tuple(notices)
    )


def gamut_of_profile(name: str, profile: bytes) -> GamutDevice:
    """A profile's gamut; ``name`` is its file's. Raises BadProfile."""
    kind, space = profile_class(profile), require_usable(profile)
    if kind == "input" or space not in CHANNELS:
        raise BadProfile("gamut.no-solid", profile=describe(profile), kind=kind, space=space)

    def absolute(numbers: Floats) -> Floats:
        return device_to_lab_by_profile(numbers, profile, intent="absolute")

    channels = CHANNELS[space]
    solid = solid_of(absolute, channels)
    white = absolute(np.ones((1, 3)) if channels == 3 else np.zeros((1, 4)))[0]
    black = absolute(np.zeros((1, 3)))[0] if channels == 3 else deepest_neutral(solid)
    basis = Message("gamut.by-profile")
    return GamutDevice(f"{describe(profile)} ({name})", "profile", basis, solid, white, black)


def gamut_of_space(name: str) -> GamutDevice:
    """A working space of SPACES, by its definition; its white is L* 100 either way."""
    white, black = np.array([100.0, 0, 0]), np.zeros(3)
    basis = Message("gamut.by-definition")
    return GamutDevice(SPACE_NAMES[name], "space", basis, working_solid(SPACES[name]), white, black)


@lru_cache(maxsize=2)
def working_solid(space: RgbSpace) -> GamutSolid:
    """The solid of a working space, media-relative."""
    return solid_of(lambda rgb: rgb_to_lab(rgb, space), 3)
