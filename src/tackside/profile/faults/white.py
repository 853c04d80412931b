"""Faults of the media white and of the primaries."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from tackside.colour.spaces import WHITE_D50, xyz_to_lab
from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.icc.inspect import Header, is_old_display, tag_xyz

# Common practice (docs/sources.md, S41): card and paper lie between L* 75 and 100 and within a chroma of 20;
# optical brighteners reach b* -15. A display of version 2 may name its own white, from candle light to a blue sky.
DARKEST_PAPER, LIGHTEST_PAPER, MOST_COLOURED_PAPER = 75.0, 101.0, 20.0
NEAR_D50 = 0.002  # XYZ
PRIMARIES_NEAR = 0.01  # XYZ; the sum of rounded primaries strays by 0.0001, old ones by a few 0.001


def white_faults(header: Header, held: dict[str, memoryview]) -> Iterator[ProfileFault]:
    white = tag_xyz(held.get("wtpt"))
    if white is not None:
        yield from _media_white(header, white)
    yield from _primaries(header, held)


def _media_white(header: Header, white: np.ndarray) -> Iterator[ProfileFault]:
    if np.any(white <= 0) or np.any(white > 2):
        x, y, z = (float(value) for value in white)
        yield ProfileFault("wrong", "wtpt", Message("profile-fault.white-is-none", x=x, y=y, z=z))
        return
    lab = xyz_to_lab(white)
    chroma = float(np.hypot(lab[1], lab[2]))
    if header.profile_class == "display":
        if header.version[0] >= 4 and np.abs(white - WHITE_D50).max() > NEAR_D50:
            yield ProfileFault("wrong", "wtpt", Message("profile-fault.display-white"))
        elif is_old_display(header) and np.abs(white - WHITE_D50).max() > NEAR_D50:
            yield ProfileFault(
                "note",
                "wtpt",
                Message("profile-fault.display-own-white"),
            )
    elif header.profile_class == "output":
        if not DARKEST_PAPER <= lab[0] <= LIGHTEST_PAPER:
            yield ProfileFault("doubtful", "wtpt", Message("profile-fault.white-not-light", lightness=lab[0]))
        if chroma > MOST_COLOURED_PAPER:
            yield ProfileFault(
                "doubtful",
                "wtpt",
                Message("profile-fault.white-coloured", a=lab[1], b=lab[2]),
            )


def _primaries(header: Header, held: dict[str, memoryview]) -> Iterator[ProfileFault]:
    found = [tag_xyz(held.get(name)) for name in ("rXYZ", "gXYZ", "bXYZ")]
    primaries = np.array([xyz for xyz in found if xyz is not None])
    if len(primaries) < 3 or header.colour_space != "RGB":
        return
    if abs(np.linalg.det(primaries)) < 1e-6:
        yield ProfileFault("wrong", "rXYZ", Message("profile-fault.primaries-alike"))
    stray = np.abs(primaries.sum(axis=0) - WHITE_D50).max()
    if stray > PRIMARIES_NEAR:
        yield ProfileFault("wrong", "rXYZ", Message("profile-fault.primaries-off", off=stray))
