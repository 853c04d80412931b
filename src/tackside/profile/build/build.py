"""From measured patches to an ICC profile, with how good it is and what there is to say of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from tackside.colour.spaces import Floats, lab_to_xyz
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.profile.build import tags
from tackside.profile.build.evidence import WeighedPatches, weigh
from tackside.profile.build.lut import Coding, gamut_type, table_to_colours, table_to_device
from tackside.profile.build.measured import MeasuredPatches
from tackside.profile.build.quality import quality_of
from tackside.profile.build.rendering import Rendering, perceptual, saturation
from tackside.profile.build.tables import Forward, forward_table, inverse_table
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.profile.icc.working_space import xyz_type
from tackside.records.assets import ProfileQuality
from tackside.records.reading import MeasurementCondition

Tell = Callable[[Message], None]
COPYRIGHT = "No copyright is claimed for this profile"
# ΔE*ab beyond the gamut: where the gamut tag begins to say so, and where it is at its end.
ALARM_FROM, ALARM_FULL = 1.0, 51.0


@dataclass(frozen=True, eq=False)
class Built:
    """``data``: the profile's bytes. ``notices``: what a person should know of it, outliers by name among them."""

    data: bytes
    quality: ProfileQuality
    notices: tuple[Message, ...]


def build_profile(
    measured: MeasuredPatches,
    *,
    description: str,
    condition: MeasurementCondition | None,
    made_at: datetime,
    v2: bool = False,
    copyright_text: str = COPYRIGHT,
    tell: Tell = lambda _: None,
) -> Built:
    """A printer profile of what was measured.

    ``description``: the words by which programs list it. ``condition``: M0 to M3 (ISO 13655) of an instrument's
    reading, None of a scan, whose profile then does not claim a measurement geometry. ``made_at`` in coordinated
    universal time. ``v2`` makes one of version 2.4 for older programs instead of 4.3. ``tell`` hears what is being
    done.

    Raises BadRequest where the evidence is too thin or contradicts itself, or is for CMYK.
    """
    version = 2 if v2 else 4
    if measured.channels != 3:
        raise BadRequest("profile-build.not-rgb")
    tell(Message("profile-build.step.fitting"))
    evidence = weigh(measured)
    tell(Message("profile-build.step.tables"))
    coding = Coding(version)
    forward = forward_table(evidence.surface.at)
    tell(Message("profile-build.step.inverting"))
    numbers, away = inverse_table(forward, coding)
    tell(Message("profile-build.step.rendering"))
    solid, black_l = GamutSolid((forward.lab,)), max(float(forward.lab[0, 0, 0, 0]), 0.0)
    renderings = (perceptual(solid, black_l, version), saturation(solid, black_l, version))
    tell(Message("profile-build.step.writing"))
    tables = _tables(forward, numbers, away, renderings, coding)
    data = tags.assembled(
        [*_around(forward, evidence, measured, description, condition, copyright_text, version), *tables],
        version=version,
        space=b"RGB ",
        made_at=made_at,
    )
    quality = quality_of(data, forward, evidence.surface, evidence.patches)
    return Built(data, quality, (*evidence.notices, *_notices(quality)))


def _tables(
    forward: Forward, numbers: Floats, away: Floats, renderings: tuple[Rendering, Rendering], coding: Coding
) -> list[tuple[bytes, bytes]]:
    """A2B0 to A2B2, B2A0 to B2A2, gamt."""
    version = coding.version
    colours = forward.lab.reshape(-1, 3)
    drawn, vivid = renderings
    seen = [drawn.from_printer(colours), colours, vivid.from_printer(colours)]
    asked = coding.nodes()
    device = [forward.nearest(drawn.to_printer(asked)), numbers, forward.nearest(vivid.to_printer(asked))]
    alarm = np.clip((away - ALARM_FROM) / (ALARM_FULL - ALARM_FROM), 0, 1)[:, None]
    return [
        *(
            (b"A2B%d" % number, table_to_colours(coding.coded(lab), version))
            for number, lab in enumerate(seen)
        ),
        *((b"B2A%d" % number, table_to_device(values, version)) for number, values in enumerate(device)),
        (b"gamt", gamut_type(alarm, version=version)),
    ]


def _around(
    forward: Forward,
    evidence: WeighedPatches,
    measured: MeasuredPatches,
    description: str,
    condition: MeasurementCondition | None,
    copyright_text: str,
    version: int,
) -> list[tuple[bytes, bytes]]:
    patches = evidence.patches
    black = evidence.surface.at(np.zeros((1, 3)))[0]
    names = evidence.names(measured)
    found = [
        (b"desc", tags.description(description, version)),
        (b"cprt", tags.text(copyright_text, version)),
        (b"wtpt", xyz_type(forward.white_xyz)),
        (b"bkpt", xyz_type(np.maximum(lab_to_xyz(black), 0))),
        (b"view", tags.viewing()),
        (b"tech", tags.technology()),
        (b"targ", tags.patches_as_cgats(patches.device, patches.lab, names, description, condition)),
    ]
    if version == 4:
        found.append((b"chad", tags.unadapted()))
    if condition is not None:
        found.append((b"meas", tags.measurement()))
    return found


def _notices(quality: ProfileQuality) -> tuple[Message, ...]:
    found = []
    if quality.grey_straightened > max(quality.noise, 0.3):
        found.append(Message("profile-build.greys-straightened", change=quality.grey_straightened))
    return tuple(found)
