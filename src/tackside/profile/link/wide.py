"""Colours of matrix profiles beyond what 16-bit CIELAB holds (a* and b* from -128 to 127).

Wide working spaces reach a* -187. So their device numbers go to a space of our own, whose three "lights" are X, Y and
Z of D50, and from there to CIELAB by formula. Its tone curve is that of L*, so that 16 bits serve the darks.
"""

from __future__ import annotations

import tempfile
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyvips

from tackside.colour.spaces import EPSILON, KAPPA, WHITE_D50, Floats, xyz_to_lab
from tackside.profile.icc.working_space import xyz_profile

KNEE = KAPPA * EPSILON / 100  # where the straight part of L* ends: 0.08


def to_lab_through_xyz(image: pyvips.Image, intent: str) -> Floats:
    """CIELAB (n, 3) of an image with its profile attached. Raises pyvips.Error."""
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        target = Path(folder, "xyz.icc")  # libvips takes the way out from a file only
        target.write_bytes(_target())
        stored = image.icc_transform(str(target), embedded=True, intent=intent, depth=16).numpy()
    coded = np.asarray(stored, dtype=np.float64).reshape(-1, 3) / 65535
    ratio = np.where(coded > KNEE, ((coded + 0.16) / 1.16) ** 3, coded * 100 / KAPPA)
    return xyz_to_lab(ratio * WHITE_D50)


@lru_cache(maxsize=1)
def _target() -> bytes:
    # Y of L* as parametric function type 3 of ISO 15076-1: g, a, b, c, d.
    return xyz_profile((3.0, 1 / 1.16, 0.16 / 1.16, 100 / KAPPA, KNEE))
