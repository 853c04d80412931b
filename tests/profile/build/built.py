"""Profiles built once for many tests."""

from __future__ import annotations

from datetime import datetime
from functools import cache

import numpy as np

from tackside.profile.build.build import Built, build_profile
from tackside.profile.build.measured import MeasuredPatches
from tackside.profile.icc.inspect import contents, read_tags
from tackside.profile.icc.tables import ColourTable, read_table
from tests.profile.build.presses import chart, read

# A noise of 0.25 ΔE*ab, root mean square: each of L*, a*, b* has this standard deviation.
NOISE = 0.25 / np.sqrt(3)
MADE_AT = datetime(2026, 5, 17, 9, 30, 12)  # noqa: DTZ001  the format has no zone
WORDS = "Harbour Satin 300, größer"


def measured(press: str, count: int, noise: float = NOISE, seed: int = 1) -> MeasuredPatches:
    device = chart(count)
    names = [f"P{number}" for number in range(len(device))]
    return MeasuredPatches.of(device, read(press, device, noise, seed), names=names)


@cache
def built(press: str, version: int = 4, count: int = 512) -> Built:
    return build_profile(
        measured(press, count), description=WORDS, condition="M1", made_at=MADE_AT, v2=version == 2
    )


def table(profile: bytes, signature: str) -> ColourTable:
    return read_table(contents(read_tags(profile))[signature])
