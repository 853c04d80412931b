"""All that can be said of a profile from its bytes alone, as one frozen record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

import numpy as np

from tackside.colour.spaces import Floats
from tackside.errors import BadProfile
from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.faults.find import find_faults
from tackside.profile.faults.header import created
from tackside.profile.gamut.gamut_solid import GamutSolid, solid_of
from tackside.profile.icc.inspect import CHANNELS, Header, describe, media_white, read_header, to_icc_absolute
from tackside.profile.icc.intents import IntentUse, intent_uses
from tackside.profile.icc.ramps import Neutral, ProfileRamp, neutral, ramps, white_device
from tackside.profile.link.convert import (
    INTENTS,
    can_export,
    device_to_lab_by_profile,
    lab_to_device_by_profile,
    require_usable,
)

NO_VOLUME = "none: a grey device holds a line of greys"
UNLIKE_WHITE = 1.0  # ΔE*ab: a media-relative table has its white at L* 100, a* and b* 0


@dataclass(frozen=True)
class EndTone:
    """A white or a black: CIELAB (3,) beside the medium's own white, and ICC-absolute, as an instrument sees it."""

    media_relative: Floats
    absolute: Floats


@dataclass(frozen=True)
class ProfileColours:
    """What comes out of a profile that can be used. Volumes are cubic CIELAB units, ICC-absolute.

    ``solid`` is None for a grey device.
    """

    white: EndTone
    black: EndTone
    intents: tuple[IntentUse, ...]
    solid: GamutSolid | None
    gamut_volume: float
    gamut_method: str
    neutral: Neutral
    ramps: tuple[ProfileRamp, ...]


@dataclass(frozen=True)
class ProfileSummary:
    """A profile. ``size`` in bytes; ``created`` in coordinated universal time.

    ``colours`` is None for a profile that is not of a device (links, named colours, Lab) or that LittleCMS cannot
    use; ``unusable`` says why.
    """

    description: str
    header: Header
    created: datetime | None
    size: int
    header_intent: str
    colours: ProfileColours | None
    unusable: Message | None
    faults: tuple[ProfileFault, ...]


def summarise(profile: bytes, today: date) -> ProfileSummary:
    """The summary of a profile's bytes; ``today`` only dates its faults. Raises BadProfile where there is no
    reading it at all.
    """
    header = read_header(profile)
    faults = find_faults(profile, today)
    colours: ProfileColours | None = None
    unusable: Message | None = None
    try:
        colours = _colours(profile, CHANNELS[require_usable(profile)])
    except BadProfile as refused:
        unusable = refused.message
    return ProfileSummary(
        description=_description(profile),
        header=header,
        created=created(profile),
        size=len(profile),
        header_intent=_header_intent(profile),
        colours=colours,
        unusable=unusable,
        faults=(*faults, *_colour_faults(colours)) if colours else faults,
    )


def _description(profile: bytes) -> str:
    try:
        return describe(profile)
    except BadProfile:  # the tag points nowhere, which stands among the faults
        return "unnamed profile"


def _header_intent(profile: bytes) -> str:
    number = int.from_bytes(profile[64:68], "big")
    return INTENTS[number] if number < len(INTENTS) else "unknown"


def _colours(profile: bytes, channels: int) -> ProfileColours:
    absolute = partial(device_to_lab_by_profile, profile=profile, intent="absolute")
    solid = None if channels == 1 else solid_of(absolute, channels)
    return ProfileColours(
        white=_tone(profile, white_device(channels)),
        black=_tone(profile, _black_device(profile, channels)),
        intents=intent_uses(profile, channels),
        solid=solid,
        gamut_volume=0.0 if solid is None else solid.volume,
        gamut_method=NO_VOLUME if solid is None else solid.method,
        neutral=neutral(profile, channels),
        ramps=ramps(profile, channels),
    )


def _tone(profile: bytes, device: Floats) -> EndTone:
    relative = device_to_lab_by_profile(device[None], profile)[0]
    return EndTone(relative, to_icc_absolute(relative, media_white(profile)))


def _black_device(profile: bytes, channels: int) -> Floats:
    """No light at all; of inks the mixture that the profile itself prints for L* 0, else full black."""
    if channels != 4:
        return np.zeros(channels)
    if can_export(profile):
        return np.asarray(lab_to_device_by_profile([[0, 0, 0]], profile)[0])
    return np.array([0.0, 0.0, 0.0, 1.0])


def _colour_faults(colours: ProfileColours) -> list[ProfileFault]:
    """What only shows in the colours that come out."""
    off = float(np.linalg.norm(colours.white.media_relative - [100, 0, 0]))
    found = []
    if off > UNLIKE_WHITE:
        says = Message("profile-fault.white-not-the-mediums", off=off)
        found.append(ProfileFault("doubtful", "A2B1", says))
    if colours.black.media_relative[0] > colours.white.media_relative[0]:
        found.append(ProfileFault("doubtful", "A2B1", Message("profile-fault.black-over-white")))
    return found
