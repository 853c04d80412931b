"""A printing device as the proof sees it: device numbers to colours and back, whatever stands behind them.

Two kinds there are: an ICC printer profile (``ProfileDevice``), and a model fitted to a reading.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal, Protocol, get_args, runtime_checkable

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import Floats, lab_to_xyz
from tackside.errors import BadProfile
from tackside.profile.icc.inspect import (
    CHANNELS,
    describe,
    media_white,
    read_header,
    to_icc_absolute,
    to_media_relative,
)
from tackside.profile.link.convert import can_export, device_to_lab_by_profile, require_usable
from tackside.profile.link.passage import lab_to_card_numbers

Intent = Literal["perceptual", "relative", "saturation", "absolute"]
INTENTS: tuple[Intent, ...] = get_args(Intent)


class Device(Protocol):
    """What a proof asks of a card in its printer.

    ``channels`` is 3 for RGB numbers or 4 for CMYK; device numbers are 0 to 1 (CMYK: 1 is full ink).
    ``white_lab`` (3,) is the bare card and ``black_lab`` (3,) its black, CIELAB D50 with the card's own tint.
    """

    def __hash__(self) -> int: ...
    @property
    def channels(self) -> int: ...
    @property
    def white_lab(self) -> Floats: ...
    @property
    def black_lab(self) -> Floats: ...

    def to_lab(self, device: ArrayLike) -> Floats:
        """CIELAB D50 (n, 3) of device numbers (n, channels), the tint of the card included (ICC-absolute)."""

    def from_lab(self, lab: ArrayLike, intent: Intent, bpc: bool) -> Floats:
        """Device numbers (n, channels) of a picture's CIELAB (n, 3), whose white is 100, 0, 0.

        ``absolute`` lays those colours on the card as they are, the others relative to its white. ``bpc``:
        black point compensation from a black of L* 0.
        """


@runtime_checkable
class KnowsPrints(Protocol):
    """A device that may know the print of many colours without working it out."""

    def relative_print(self, lab: Floats, intent: Intent, *, bpc: bool) -> Floats:
        """Media-relative CIELAB (n, 3) of the print of a picture's media-relative CIELAB (n, 3)."""


@dataclass(frozen=True)
class ProfileDevice:
    """The device of an ICC printer profile, worked by LittleCMS at 16 bits. Raises BadProfile."""

    profile: bytes

    def __post_init__(self) -> None:
        header = read_header(self.profile)
        if header.profile_class not in ("output", "display", "colour space"):
            raise BadProfile(
                "profile.not-of-a-printer", profile=describe(self.profile), kind=header.profile_class
            )
        if require_usable(self.profile) not in ("RGB", "CMYK"):
            raise BadProfile(
                "profile.printer-of-other-numbers", profile=describe(self.profile), space=header.colour_space
            )
        if not can_export(self.profile):
            raise BadProfile("profile.no-way-to-printer", profile=describe(self.profile))

    @property
    def name(self) -> str:
        """The profile's own description."""
        return describe(self.profile)

    @cached_property
    def channels(self) -> int:
        return CHANNELS[read_header(self.profile).colour_space]

    @cached_property
    def white_lab(self) -> Floats:
        return np.asarray(to_icc_absolute(np.array([100.0, 0.0, 0.0]), media_white(self.profile)))

    @cached_property
    def black_lab(self) -> Floats:
        """Where black comes out by the relative colorimetric table."""
        return np.asarray(self.to_lab(self.from_lab(np.zeros((1, 3)), "relative", False))[0])

    def to_lab(self, device: ArrayLike) -> Floats:
        return device_to_lab_by_profile(device, self.profile, intent="absolute")

    def to_relative_lab(self, device: ArrayLike) -> Floats:
        """``to_lab`` with the bare card at 100, 0, 0, as the profile holds it."""
        return device_to_lab_by_profile(device, self.profile)

    def from_lab(self, lab: ArrayLike, intent: Intent, bpc: bool) -> Floats:
        return lab_to_card_numbers(lab, self.profile, intent, bpc=bpc)


@dataclass(frozen=True, eq=False)
class ConvertedDevice:
    """``card`` printed with numbers that another device's way gives, such as a profile's: what that profile does here.

    Both take the same channels; raises BadProfile otherwise.
    """

    card: Device
    converter: Device

    def __post_init__(self) -> None:
        if self.card.channels != self.converter.channels:
            raise BadProfile(
                "profile.other-channels", given=self.converter.channels, wanted=self.card.channels
            )

    @property
    def channels(self) -> int:
        return self.card.channels

    @property
    def white_lab(self) -> Floats:
        return self.card.white_lab

    @cached_property
    def black_lab(self) -> Floats:
        """Where the converter's black comes out on the card."""
        return np.asarray(self.to_lab(self.from_lab(np.zeros((1, 3)), "relative", False))[0])

    def to_lab(self, device: ArrayLike) -> Floats:
        return self.card.to_lab(device)

    def from_lab(self, lab: ArrayLike, intent: Intent, bpc: bool) -> Floats:
        return self.converter.from_lab(lab, intent, bpc)


def relative_lab(device: Device, numbers: ArrayLike) -> Floats:
    """Media-relative CIELAB (n, 3) of device numbers: the bare card is 100, 0, 0."""
    if isinstance(device, ProfileDevice):
        return device.to_relative_lab(numbers)
    return to_media_relative(device.to_lab(numbers), lab_to_xyz(device.white_lab))


def relative_print(device: Device, lab: Floats, intent: Intent, *, bpc: bool) -> Floats:
    """Media-relative CIELAB (n, 3) of the print of a picture's media-relative CIELAB (n, 3)."""
    if isinstance(device, KnowsPrints):
        return device.relative_print(lab, intent, bpc=bpc)
    return relative_lab(device, device.from_lab(lab, intent, bpc))
