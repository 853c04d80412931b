"""Faults of tone curves: damaged, falling, flat, not reaching the ends."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.faults.required import CURVES
from tackside.profile.icc.inspect import Header
from tackside.profile.icc.tables import BadTable, read_curve

STEP = 1.5 / 65535  # rounding of stored curves


def curve_faults(header: Header, held: dict[str, memoryview]) -> Iterator[ProfileFault]:
    """The curves of matrix and grey profiles."""
    wanted = ("kTRC",) if header.colour_space == "grey" else CURVES[:3]
    for signature in wanted:
        if signature not in held or bytes(held[signature][:4]) not in (b"curv", b"para"):
            continue
        try:
            curve = read_curve(held[signature])
        except BadTable as broken:
            yield ProfileFault(
                "wrong", signature, Message("profile-fault.curve-damaged", reason=broken.reason)
            )
            continue
        yield from _shape(signature, curve)


def falls(curve: Floats) -> bool:
    """Whether a curve goes down anywhere by more than rounding."""
    return bool(np.any(np.diff(curve) < -STEP))


def _shape(signature: str, curve: Floats) -> Iterator[ProfileFault]:
    if np.ptp(curve) < STEP:
        yield ProfileFault("wrong", signature, Message("profile-fault.curve-flat"))
    elif curve[0] > curve[-1]:
        yield ProfileFault("wrong", signature, Message("profile-fault.curve-inverted"))
    elif falls(curve):
        yield ProfileFault("wrong", signature, Message("profile-fault.curve-turns"))
    if curve.min() < -STEP or curve.max() > 1 + STEP:
        yield ProfileFault("doubtful", signature, Message("profile-fault.curve-beyond"))
