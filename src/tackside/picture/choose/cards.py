"""Cards and profiles as devices with a name and a key, worked out only once they are asked for."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Protocol

from tackside.colour.spaces import Floats
from tackside.profile.device.device import Device, Intent, ProfileDevice, relative_lab
from tackside.profile.device.device_model import device_numbers, fit_device_model
from tackside.records import Reading


class CardSource(Protocol):
    """A device that is not worked out yet. ``key`` is equal for equal data; ``channels`` is 3 or 4."""

    @property
    def name(self) -> str: ...
    @property
    def key(self) -> str: ...
    @property
    def channels(self) -> int: ...
    @property
    def device(self) -> Device: ...


@dataclass(frozen=True, eq=False)
class CardReading:
    """A card by a reading of it. Raises BadRequest, once it is asked, where no model can be made of the reading."""

    name: str
    reading: Reading

    @cached_property
    def _numbers(self) -> tuple[Floats, Floats]:
        return device_numbers(self.reading)

    @cached_property
    def key(self) -> str:
        numbers, lab = self._numbers
        return hashlib.sha256(numbers.tobytes() + lab.tobytes()).hexdigest()[:24]

    @property
    def channels(self) -> int:
        return int(self._numbers[0].shape[1])

    @cached_property
    def device(self) -> Device:
        return fit_device_model(*self._numbers)


@dataclass(frozen=True, eq=False)
class CardProfile:
    """A card, or a way to its numbers, by an ICC printer profile. Raises BadProfile, once it is asked."""

    name: str
    profile: bytes

    @cached_property
    def key(self) -> str:
        return hashlib.sha256(self.profile).hexdigest()[:24]

    @property
    def channels(self) -> int:
        return self.device.channels

    @cached_property
    def device(self) -> Device:
        return ProfileDevice(self.profile)


def printed_lab(card: Device, converter: Device, lab: Floats, intent: Intent, *, bpc: bool) -> Floats:
    """Media-relative CIELAB (n, 3) of the print of media-relative colours (n, 3), converted by ``converter``."""
    return relative_lab(card, converter.from_lab(lab, intent, bpc=bpc))


def comparable(readings: Sequence[Reading]) -> bool:
    """Whether all were read alike, so that a ranking of them means something."""
    return all(one.is_read_like(other) for one, other in combinations(readings, 2))
