"""JPEG in the pixels: coefficients of 8 × 8 blocks that lie in steps, though the file may be a TIFF or PNG by now.

ITU-T T.81 (ISO/IEC 10918-1) divides the coefficients of each block's discrete cosine transform (A.3.3) by a table and
rounds them. Whatever is saved later, the coefficients on the same grid still lie near whole multiples of the table's
entries. For the step q the mean of cos(2πc/q) over the coefficients c is near 1 where they do, and near 0 or below
where they are anything.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.reading.spoilt.samples import Bytes, Part, ScanSamples, as_bytes, cut, luma

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
