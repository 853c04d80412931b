"""A picture's profile with black point compensation laid into its tone curves, so that one ICC transform does it all.

Between neutral blacks compensation is light mixed with white (``black_point``). Where colours are sums of three lights
that make white together, or one light alone, mixing white into each of them is the same, and needs no step of its own.
"""

from __future__ import annotations

import struct

import numpy as np

from tackside.colour.spaces import kept_light
from tackside.profile.icc.inspect import contents, read_header, read_tags, with_contents
from tackside.profile.icc.tables import BadTable, read_curve

CURVES = ("rTRC", "gTRC", "bTRC", "kTRC")


def is_curves_alone(profile: bytes) -> bool:
    """Whether a profile's colours are made of its tone curves and three primaries, or of one curve for grey."""
    held = contents(read_tags(profile))
    curves = [held[signature] for signature in CURVES if signature in held]
    tables = any(signature[:3] in ("A2B", "D2B") for signature in held)
    if tables or not curves or read_header(profile).connection_space != "XYZ":
        return False
    try:
        return all(len(read_curve(curve)) > 1 for curve in curves)
    except BadTable:
        return False


def lifted(profile: bytes, black_l: float, source_l: float) -> bytes:
    """The profile with its own black, L* ``source_l``, at ``black_l``, and white where it was.

    It must be one that ``is_curves_alone``.
    """
    kept = kept_light(black_l, source_l)
    held = contents(read_tags(profile))
    curves = {
        signature: _curve(kept * read_curve(held[signature]) + 1 - kept)
        for signature in CURVES
        if signature in held
    }
    return with_contents(profile, curves)


def _curve(samples: np.ndarray) -> bytes:
    """A table of 16 bits (ISO 15076-1, curveType)."""
    stored = np.rint(np.clip(samples, 0, 1) * 65535).astype(">u2").tobytes()
    return struct.pack(">4s4xI", b"curv", len(samples)) + bytes(stored)
