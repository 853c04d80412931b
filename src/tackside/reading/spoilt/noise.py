"""The noise of flat areas: what of it a scanner's cells leave from pixel to pixel, and what a program took away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tackside.reading.spoilt.samples import Bytes, ScanSamples

# J. Immerkær, "Fast noise variance estimation", Computer Vision and Image Understanding 64 (1996) 300–302: this mask
# sees neither slopes nor plain edges; divided by 6 it passes white noise as it is.


@dataclass(frozen=True)
class Noise:
    """Of one area, levels of 255: ``fine`` from pixel to pixel (Immerkær), ``coarse`` all of it, about a plane;"""

    fine: float
    coarse: float


def noise_of(samples: ScanSamples, band: int = 1) -> list[Noise]:
    found = []
    for flat in samples.flats:
        one = flat.numbers[..., band]
        fine = (
            4 * one[1:-1, 1:-1]
            - 2 * (one[:-2, 1:-1] + one[2:, 1:-1] + one[1:-1, :-2] + one[1:-1, 2:])
            + one[:-2, :-2] + one[:-2, 2:] + one[2:, :-2] + one[2:, 2:]
        ) / 6  # fmt: skip
        found.append(
            Noise(
                float(np.sqrt(np.mean(fine**2))),
                _about_a_plane(one),
            )
        )
    return found


def _about_a_plane(one: Bytes) -> float:
    """The standard deviation (n) about the plane of least squares; over a full grid its two slopes are independent."""
    down, across = (np.arange(size) - (size - 1) / 2 for size in one.shape)
    level = float(one.mean())
    slopes = (
        float(down @ (one.mean(axis=1) - level)) / float(down @ down),
        float(across @ (one.mean(axis=0) - level)) / float(across @ across),
    )
    left = one - level - slopes[0] * down[:, None] - slopes[1] * across
    return float(left.std())


def middle(noise: Sequence[Noise]) -> tuple[float, float]:
    """The median areas' ``fine`` and ``coarse``; 0 where there are none."""
    if not noise:
        return 0.0, 0.0
    return float(np.median([one.fine for one in noise])), float(np.median([one.coarse for one in noise]))
