"""What the pixels themselves tell of a file: depth and resolution that it only claims (8 bits saved as 16, pixels made
up between those that were scanned), noise that a program took away, JPEG that it went through.

Noise is that of flat areas: what of it a scanner's cells leave from pixel to pixel.

JPEG shows in coefficients of 8 × 8 blocks that lie in steps, though the file may be a TIFF or PNG by now. ITU-T T.81
(ISO/IEC 10918-1) divides the coefficients of each block's discrete cosine transform (A.3.3) by a table and
rounds them. Whatever is saved later, the coefficients on the same grid still lie near whole multiples of the table's
entries. For the step q the mean of cos(2πc/q) over the coefficients c is near 1 where they do, and near 0 or below
where they are anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.mapping import median
from tackside.reading.spoilt.samples import Bytes, Part, ScanSamples, as_bytes, cut, luma

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
    return np.asarray(power / np.maximum(median(rest), 1e-9))


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
        first = np.diff(light, axis=1)
        second = 2 * light[:, 1:-1]
        second -= light[:, :-2]
        second -= light[:, 2:]
        for order, each in enumerate((first, second)):
            # Edges of the print are no noise: cut off where they begin.
            trace = np.minimum(np.abs(each, out=each), MOST_NOISE, out=each).mean(axis=0)
            trace = np.pad(trace, (1, length - 1 - len(trace)), mode="edge")
            trace = trace / (np.convolve(trace, np.ones(15) / 15, mode="same") + 0.02)
            totals[order] += np.abs(np.fft.rfft((trace - trace.mean()) * np.hanning(length)))
    return totals[0], totals[1]


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
    fine, coarse = median(np.array([[one.fine, one.coarse] for one in noise]), axis=0).tolist()
    return fine, coarse


# From so much on the steps show; scans that never were a JPEG stay below 0.1.
SHOWS = 0.3
MOST_BLOCKS = 2000
# The first coefficients, (down, across), and the luminance table's entries for them (annex K.1 of the standard).
TABLE = {
    (0, 1): 11, (1, 0): 12, (1, 1): 12, (0, 2): 10, (2, 0): 14, (1, 2): 14, (2, 1): 13, (0, 3): 16, (3, 0): 14,
}  # fmt: skip
STEPS = np.arange(2, 36)
FEWEST = 40


@dataclass(frozen=True)
class Blocks:
    """``regular``: how well the coefficients lie in steps, 0 to 1; ``quality``: 1 to 100, as the common encoders count;
    ``corner``: where the grid begins, px (0 to 7 across and down).
    """

    regular: float
    quality: int
    corner: tuple[int, int]


def jpeg_blocks(samples: ScanSamples) -> Blocks:
    left, top, right, bottom = samples.sheet_part
    best = Blocks(0.0, 100, (0, 0))
    # A scan that was cropped after it was a JPEG has its grid elsewhere.
    for x, y in dict.fromkeys(((0, 0), _corner(samples))):
        if best.regular > SHOWS:
            break
        part = (left + (x - left) % 8, top + (y - top) % 8, right, bottom)
        regular, quality = _steps(coefficients(blocks_of(samples, part)))
        if regular > best.regular:
            best = Blocks(regular, quality, (x, y))
    return best


def blocks_of(samples: ScanSamples, part: Part) -> Bytes:
    """Some blocks (n, 8, 8) of luma, 0 to 255, of the grid that begins at the part's corner."""
    left, top, right, bottom = part
    rows, columns = (bottom - top) // 8, (right - left) // 8
    every = max(int(np.sqrt(rows * columns / MOST_BLOCKS)), 1)
    found = []
    for row in range(0, rows, every):
        strip = cut(samples.scan, (left, top + 8 * row, left + 8 * columns, top + 8 * row + 8))
        grid = strip.reshape(8, columns, 8, 3)[:, ::every]
        found.append(luma(as_bytes(grid)).swapaxes(0, 1))
    return np.concatenate(found) if found else np.empty((0, 8, 8), np.float32)


def coefficients(blocks: Bytes) -> Bytes:
    """The discrete cosine transform (n, 8, 8) of each block, by the standard's A.3.3."""
    number = np.arange(8)
    cosines = np.cos((2 * number[None] + 1) * number[:, None] * np.pi / 16) / 2
    cosines[0] /= np.sqrt(2)
    basis = cosines.astype(np.float32)
    return np.asarray(basis @ blocks @ basis.T, np.float32)


def _steps(found: Bytes) -> tuple[float, int]:
    scores, scales = [], []
    for (down, across), entry in TABLE.items():
        values = np.abs(found[:, down, across])
        score, step = _step(values[values < 400])
        if score is None:
            continue
        scores.append(score)
        scales.append(100.0 * step / entry)
    if len(scores) < 4:
        return 0.0, 100
    scale = float(np.median(scales))
    quality = (200.0 - scale) / 2 if scale <= 100 else 5000.0 / scale
    return float(np.median(scores)), int(np.clip(round(quality), 1, 100))


def _step(values: Bytes) -> tuple[float | None, int]:
    """The score of the step that fits best, and that step: the largest of those that fit nearly as well."""
    scores = np.full(len(STEPS), -1.0)
    for number, step in enumerate(STEPS):
        beyond = values[values > step / 2]
        if len(beyond) >= FEWEST:
            scores[number] = np.cos(2 * np.pi / step * beyond).mean()
    if scores.max() <= -1:
        return None, 1
    best = float(scores.max())
    return best, int(STEPS[np.flatnonzero(scores >= 0.9 * best).max()]) if best > 0 else 1


def _corner(samples: ScanSamples) -> tuple[int, int]:
    """Where neighbours differ most, along and down, modulo 8: the grid of a scan that was cropped later."""
    phase = np.zeros((2, 8))
    for flat in samples.flats:
        light = luma(flat.numbers)
        for axis, start in ((1, flat.part[0]), (0, flat.part[1])):
            steps = np.abs(np.diff(light, axis=axis)).mean(axis=1 - axis)
            np.add.at(phase[1 - axis], (start + 1 + np.arange(len(steps))) % 8, steps / (steps.mean() + 1e-6))
    return int(np.argmax(phase[0])), int(np.argmax(phase[1]))
