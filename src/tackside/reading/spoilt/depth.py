"""Depth and resolution that a file only claims: 8 bits saved as 16, and pixels made up between those that were
scanned.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.spoilt.samples import ScanSamples, as_bytes, cut

STRIP_PX, STRIPS, ROWS = 1024, 10, 96
MOST_NOISE = 6.0  # levels of 255
NEAR = 40  # so many frequencies to either side say what is usual


def levels(samples: ScanSamples) -> int:
    """How many different numbers a 16-bit scan holds in its thin sample; 0 for one of 8 bits."""
    if samples.thin.itemsize == 1:
        return 0
    met = np.zeros(65536, np.bool_)
    met[samples.thin.ravel()] = True
    return int(met.sum())


@dataclass(frozen=True)
class Enlarged:
    """``wave``: how strongly the differences of neighbours rise and fall with a fixed period both down and across,
    against those of periods near it; ``factor``: how many pixels were made of one.
    """

    wave: float
    factor: float


def enlarged(samples: ScanSamples) -> Enlarged:
    """A. C. Gallagher, "Detection of linear and cubic interpolation in JPEG compressed images" (CRV 2005): the size
    of an interpolated signal's second derivative has the period of the interpolation. Repeated pixels show it in the
    first.
    """
    left, top, right, bottom = samples.sheet_part
    length = min(STRIP_PX, right - left, bottom - top) // 2 * 2
    if length < 256:
        return Enlarged(0.0, 1.0)
    both = [_spectra(samples, axis, length) for axis in (0, 1)]
    frequency = np.arange(length // 2 + 1) / length
    allowed = (frequency > 0.2) & ~_of_blocks(frequency, length)
    best = Enlarged(0.0, 1.0)
    for down, across in zip(*both, strict=True):
        wave = np.where(allowed, np.minimum(_above(down), _above(across)), 0.0)
        number = int(np.argmax(wave))
        if wave[number] > best.wave:
            best = Enlarged(float(wave[number]), _factor(float(frequency[number])))
    return best


def _above(power: Floats) -> Floats:
    """Each over the usual one near it, what lies within three of it left out."""
    padded = np.pad(power, NEAR, mode="reflect")
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * NEAR + 1)
    rest = np.concatenate([around[:, : NEAR - 3], around[:, NEAR + 4 :]], axis=1)
    return np.asarray(power / np.maximum(np.median(rest, axis=1), 1e-9))


def _of_blocks(frequency: Floats, length: int) -> NDArray[np.bool_]:
    """JPEG's own period of 8, all but every other pixel."""
    off = np.abs(frequency * 8 - np.rint(frequency * 8))
    return np.asarray((off < 32 / length) & (frequency < 0.5 - 2.5 / length))


def _factor(frequency: float) -> float:
    """1/f, or by aliasing 1/(1 − f): the one that lies nearest to a common factor."""
    both = (1 / frequency, 1 / (1 - frequency))
    return min(both, key=lambda each: min(abs(each - usual) for usual in (1.5, 2, 3, 4)))


def _spectra(samples: ScanSamples, axis: int, length: int) -> tuple[Floats, Floats]:
    """Amplitudes (length / 2 + 1,) of the mean first and second difference along the axis."""
    left, top, right, bottom = samples.sheet_part
    long, wide = (right - left, bottom - top) if axis == 1 else (bottom - top, right - left)
    totals = np.zeros((2, length // 2 + 1))
    for number in range(STRIPS):
        across = int((number + 0.5) / STRIPS * max(wide - ROWS, 0))
        along = int((number * 0.37) % 1.0 * (long - length))
        if axis == 1:
            part = (left + along, top + across, left + along + length, top + across + ROWS)
        else:
            part = (left + across, top + along, left + across + ROWS, top + along + length)
        light = as_bytes(cut(samples.scan, part)[..., 1])
        light = np.ascontiguousarray(light if axis == 1 else light.T)
        first = np.abs(np.diff(light, axis=1))
        second = np.abs(2 * light[:, 1:-1] - light[:, :-2] - light[:, 2:])
        for order, each in enumerate((first, second)):
            # Edges of the print are no noise: cut off where they begin.
            trace = np.minimum(each, MOST_NOISE).mean(axis=0)
            trace = np.pad(trace, (1, length - 1 - len(trace)), mode="edge")
            trace = trace / (np.convolve(trace, np.ones(15) / 15, mode="same") + 0.02)
            totals[order] += np.abs(np.fft.rfft((trace - trace.mean()) * np.hanning(length)))
    return totals[0], totals[1]
