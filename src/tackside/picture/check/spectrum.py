"""How fine the detail in a picture really is, told from its spectrum.

The amplitude spectrum of photographs falls about as 1 ÷ frequency (D. J. Field, "Relations between the statistics of
natural images and the response properties of cortical cells", J. Opt. Soc. Am. A 4 (12), 1987). Enlarging adds pixels
but nothing above the old Nyquist frequency: the spectrum leaves that line at about 1 ÷ factor of the new one. So does a
picture out of focus or smoothed: the spectrum says where detail ends, not why.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats

# Frequencies are fractions of Nyquist. The line is fitted where even a picture enlarged fivefold has its detail.
FITTED = (0.04, 0.18)
# Power falls with the exponents of real photographs (Field 1987: about 2), so that no odd texture bends the line.
FALLS = (-2.8, -0.8)
RANKED = (0.2, 0.4)  # tiles are ranked by their energy here: what is out of focus says nothing of the pixels
SHARPEST_SHARE = 0.25
HALF = 0.5  # detail ends where half its amplitude is lost, as for the usual MTF50
EMPTY = 0.25  # and is missing for good where it then falls below a quarter, along both axes
TAIL = 0.85
# Rounding to 8 bits and JPEG leave noise of their own. It is no detail; up to one level of it is set aside.
MOST_OWN_NOISE = 1.0
LEAST_RUNS = 8
EVEN_SHARE = 0.9
LEAST_CONTRAST = 2.0  # levels: flatter tiles tell nothing


@dataclass(frozen=True)
class Detail:
    """Where detail ends, as a fraction of Nyquist (1: the pixels hold all they can), and whether it is missing
    above.

    ``repeated`` is the share of rows and columns that repeat their neighbour exactly: pixels that were doubled.
    """

    limit: float
    missing_above: bool
    repeated: float


def detail_of(tiles: Floats) -> Detail | None:
    """The detail in square tiles of luminance (n, t, t), 8-bit levels, cut at full size; None where all are flat."""
    used = [tile for tile in tiles if tile.std() >= LEAST_CONTRAST]
    if not used:
        return None
    # Tile by tile, so that all that is worked out of one stays in the processor's cache.
    power = np.array([[_power(tile), _power(tile.T)] for tile in used])  # (n, 2, frequencies)
    frequency = np.linspace(0, 1, power.shape[-1])
    ranked = power[..., _within(frequency, RANKED)].sum(axis=(1, 2))
    sharpest = np.argsort(ranked)[-max(1, round(SHARPEST_SHARE * len(used))) :]
    axes = [_limit(frequency, spectrum) for spectrum in power[sharpest].mean(axis=0)]
    return Detail(
        limit=max(limit for limit, _ in axes),
        missing_above=all(missing for _, missing in axes),
        repeated=_repeated([used[number] for number in sharpest]),
    )


def _power(tile: Floats) -> Floats:
    """Mean power (frequencies,) of the rows of a tile, white noise of one level being 1."""
    window = np.hanning(tile.shape[1] + 2)[1:-1]
    rows = (tile - tile.mean(axis=1, keepdims=True)) * window
    found = np.fft.rfft(rows, axis=1)
    return np.asarray((found.real**2 + found.imag**2).mean(axis=0) / np.sum(window**2))


def _limit(frequency: Floats, power: Floats) -> tuple[float, bool]:
    """Where the amplitude falls to half of the fitted line's, and whether it falls below a quarter from there."""
    fitted = _within(frequency, FITTED)
    x, y = np.log(frequency[fitted]), np.log(np.maximum(power[fitted], 1e-9))
    slope = float(np.clip(np.polyfit(x, y, 1)[0], *FALLS))
    level = float(np.mean(y - slope * x))
    above = frequency > FITTED[1]
    line = np.exp(level + slope * np.log(frequency[above]))
    own_noise = min(float(np.min(_smooth(power)[frequency >= TAIL])), MOST_OWN_NOISE)
    share = np.sqrt(np.maximum(_smooth(power)[above] - own_noise, 0) / line)
    lost = np.flatnonzero(share < HALF)
    if len(lost) == 0:
        return 1.0, False
    return float(frequency[above][lost[0]]), bool(np.max(share[-max(1, len(share) // 8) :]) < EMPTY)


def _smooth(power: Floats) -> Floats:
    """A mean over neighbouring frequencies, so that one quiet one is not taken for the end."""
    width = max(3, len(power) // 24)
    padded = np.pad(power, (width // 2, width - 1 - width // 2), mode="edge")
    return np.convolve(padded, np.full(width, 1 / width), mode="valid")


def _within(frequency: Floats, band: tuple[float, float]) -> NDArray[np.bool_]:
    return np.asarray((frequency >= band[0]) & (frequency <= band[1]))


def _repeated(tiles: Sequence[Floats]) -> float:
    """The smaller share, of rows or of columns, that repeat the one before in an even step: the mean over tiles."""
    return float(np.mean([min(_even_repeats(tile), _even_repeats(tile.T)) for tile in tiles]))


def _even_repeats(rows: Floats) -> float:
    """The share of repeats where rows come in runs of one length, give or take one; else 0.

    Flat artwork repeats rows too, but in runs of all lengths.
    """
    starts = np.flatnonzero(np.any(np.diff(rows, axis=0) != 0, axis=1)) + 1
    runs = np.diff(starts)  # the first and the last are cut by the tile's edge
    if len(runs) < LEAST_RUNS:
        return 0.0
    length = float(np.mean(runs))
    even = np.abs(runs - length) < 1
    return 1 - 1 / length if np.mean(even) >= EVEN_SHARE else 0.0
