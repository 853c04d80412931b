"""Has the scanner changed? The same few patches, then and now, as the scan's profile gives them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.records import PatchReading
from tackside.records.scanner import Characterisation, StripPatch

STRIP = 24
SAME_RGB = 1e-3


def strip_of(patches: Sequence[PatchReading]) -> tuple[StripPatch, ...]:
    """A control strip: bare card, black, and patches spread through the colours (each farthest from those before)."""
    usable = [patch for patch in patches if patch.rgb is not None]
    if not usable:
        return ()
    rgb = np.array([patch.rgb for patch in usable])
    taken = [int(np.argmax(rgb.sum(axis=1)))]
    away = np.sum((rgb - rgb[taken[0]]) ** 2, axis=1)
    while len(taken) < min(STRIP, len(usable)):
        taken.append(int(np.argmax(away)))
        away = np.minimum(away, np.sum((rgb - rgb[taken[-1]]) ** 2, axis=1))
    return tuple(
        StripPatch(rgb=patch.rgb, lab=patch.lab)
        for patch in (usable[n] for n in taken)
        if patch.rgb is not None
    )


def drift_of(known: Characterisation, patches: Sequence[PatchReading]) -> float | None:
    """Median ΔE00 of the strip's patches as scanned now against then; None where too few of them are there."""
    now = {patch.rgb: patch.lab for patch in patches if patch.rgb is not None}
    pairs = [
        (then.lab, lab)
        for then in known.strip
        for rgb, lab in now.items()
        if max(abs(a - b) for a, b in zip(then.rgb, rgb, strict=True)) < SAME_RGB
    ]
    if len(pairs) < 6:
        return None
    return float(np.median(delta_e_2000(np.array([a for a, _ in pairs]), np.array([b for _, b in pairs]))))
