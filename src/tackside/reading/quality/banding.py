"""Banding: regular stripes along one axis of the sheet, by the spectrum of its patches' lightness.

A sheet has no large even area; its mid-tone patches together are one, with gaps. Each row (or column) of a
patch is averaged, and brought to what it would be at L* 50. The spectrum is that of least squares for uneven
samples (P. Vaníček, Astrophysics and Space Science 12, 1971; N. R. Lomb, ibid. 39, 1976), with a mean of its
own for every patch, since patches differ in tone (the floating mean of
M. Zechmeister and M. Kürster, Astronomy & Astrophysics 496, 2009).
A period is believed where its phase agrees from patch to patch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.quality.evenness import BANDING_L, Surface
from tackside.reading.scan.geometry.mapping import median
from tackside.records import Attribute

Axis = Literal["feed", "across"]
PERIODS_MM = (0.35, 8.0)
# Bands run through the whole sheet, so that their phase agrees from patch to patch. For waves of random phase
# in n patches
# n · R² (Rayleigh's test of uniformity; K. V. Mardia and P. E. Jupp, Directional Statistics, 2000, 6.3.1)
# passes 18 once in
# 6 · 10⁷; a thousand frequencies are tried.
CERTAIN = 18.0
LEAST_PATCHES = 20  # fewer cannot agree beyond doubt
FINER = 2  # frequencies for each independent one
_SAME_MM = 1e-9  # places that differ by less are the same


@dataclass(frozen=True)
class Band:
    """``period_mm`` and peak ``amplitude`` (L*, at about L* 50) of the strongest sine; ``certain`` where it is
    no noise.
    """

    period_mm: float
    amplitude: float
    amplitude_sd: float
    period_sd_mm: float
    certain: bool


def banding_attributes(seen: Surface) -> dict[str, Attribute]:
    """``banding_amplitude_{axis}`` in L* and, where it is certain, ``banding_period_{axis}`` in mm."""
    found: dict[str, Attribute] = {}
    for axis in ("feed", "across"):
        groups = _series(seen, "feed" if axis == "feed" else "across")
        band = strongest(groups) if len(groups) > 0 else None
        if band is None:
            continue
        found[f"banding_amplitude_{axis}"] = Attribute(value=band.amplitude, unit="L*", sd=band.amplitude_sd)
        if band.certain:
            found[f"banding_period_{axis}"] = Attribute(value=band.period_mm, unit="mm", sd=band.period_sd_mm)
    return found


def strongest(groups: list[tuple[Floats, Floats]]) -> Band | None:
    """The strongest sine through groups of (places in mm, lightness), each group with a mean of its own."""
    at = np.concatenate([place for place, _ in groups])
    pitch = float(median(np.concatenate([np.diff(place) for place, _ in groups])))
    level = np.concatenate([values - values.mean() for _, values in groups])
    longest = min(PERIODS_MM[1], 1.5 * max(float(np.ptp(place)) for place, _ in groups))
    shortest = max(PERIODS_MM[0], 3 * pitch)
    if longest <= shortest or len(level) < 48:
        return None
    baseline = max(float(np.ptp(at)), longest)
    step = 1.0 / (FINER * baseline)
    frequencies = np.arange(1.0 / longest, 1.0 / shortest, step)
    alike = _alike(groups)
    power, _ = _spectrum(alike, frequencies)
    best = int(np.argmax(power))
    fine = frequencies[best] + np.linspace(-step, step, 41)
    fine_power, fine_amplitude = _spectrum(alike, fine)
    top = int(np.argmax(fine_power))
    rest = float(np.sqrt(max(np.var(level) - fine_amplitude[top] ** 2 / 2, 1e-12)))
    size = float(fine_amplitude[top])
    # After M. H. Montgomery and D. O'Donoghue, Delta Scuti Star Newsletter 13, 1999: the
    # least spread of a sine's amplitude and frequency from N samples over a baseline T.
    size_sd = rest * float(np.sqrt(2.0 / len(level)))
    frequency_sd = float(np.sqrt(6.0 / len(level)) * rest / (np.pi * baseline * max(size, 1e-6)))
    period = 1.0 / float(fine[top])
    return Band(
        period,
        size,
        size_sd,
        min(period**2 * frequency_sd, period),
        agreement(groups, 1.0 / period) > CERTAIN,
    )


def agreement(groups: list[tuple[Floats, Floats]], frequency: float) -> float:
    """n · R² of the waves of one frequency in n groups, each weighted by its size: about 1 where phases are random."""
    waves = []
    for at, values in groups:
        phase = 2 * np.pi * frequency * at
        design = np.column_stack([np.ones(len(at)), np.cos(phase), np.sin(phase)])
        solved, *_ = np.linalg.lstsq(design, values, rcond=None)
        waves.append(complex(solved[1], solved[2]))
    size = float(np.sum(np.abs(waves) ** 2))
    return float(np.abs(np.sum(waves)) ** 2) / max(size, 1e-12)


@dataclass(frozen=True, eq=False)
class _Alike:
    """Groups whose places lie alike about their own first: ``places`` (n,) from there on, mm; ``starts`` (k,) mm;
    ``levels`` (k, n) about their own means.
    """

    places: Floats
    starts: Floats
    levels: Floats


def _alike(groups: Sequence[tuple[Floats, Floats]]) -> list[_Alike]:
    """Patches of one size share their places but for where they start, so that each wave is worked out once for all of
    them and then turned by its phase at their start.
    """
    found: dict[bytes, list[tuple[Floats, float, Floats]]] = {}
    for at, values in groups:
        places = at - at[0]
        key = np.rint(places / _SAME_MM).astype(np.int64).tobytes()
        found.setdefault(key, []).append((places, float(at[0]), values - values.mean()))
    return [
        _Alike(members[0][0], np.array([start for _, start, _ in members]), np.array([m[2] for m in members]))
        for members in found.values()
    ]


def _spectrum(alike: Sequence[_Alike], frequencies: Floats) -> tuple[Floats, Floats]:
    """Power (share of squares explained) and amplitude for each frequency, by least squares with each group's
    mean free.

    With z = exp(i φ) at n places, Σ sin², Σ cos² and Σ sin cos are n/2 and parts of Σ z²/2; about their own means
    they lack the products of the parts of Σ z over n.
    """
    ss, cc, sc, sy, cy = np.zeros((5, len(frequencies)))
    for each in alike:
        count = len(each.places)
        wave = np.exp(2j * np.pi * np.outer(frequencies, each.places))
        turn = np.exp(2j * np.pi * np.outer(frequencies, each.starts))
        first = wave.sum(axis=1)[:, None] * turn
        second = np.einsum("fp,fp->f", wave, wave)[:, None] * turn**2
        ss += np.sum((count - second.real) / 2 - first.imag**2 / count, axis=1)
        cc += np.sum((count + second.real) / 2 - first.real**2 / count, axis=1)
        sc += np.sum(second.imag / 2 - first.real * first.imag / count, axis=1)
        by_level = np.einsum("fk,fk->f", wave @ each.levels.T, turn)
        sy += by_level.imag
        cy += by_level.real
    det = np.maximum(ss * cc - sc**2, 1e-9)
    a, b = (sy * cc - cy * sc) / det, (cy * ss - sy * sc) / det
    return np.asarray(a * sy + b * cy), np.asarray(np.hypot(a, b))


def _series(seen: Surface, axis: Axis) -> list[tuple[Floats, Floats]]:
    """Rows (or columns) of each mid-tone patch, averaged: places and lightness."""
    series: list[tuple[Floats, Floats]] = []
    paper_y = _luminance(max(seen.middle, default=95.0))
    for light, middle, x, y in zip(seen.lightness, seen.middle, seen.x_mm, seen.y_mm, strict=True):
        ink = 1.0 - _luminance(middle) / paper_y
        if not BANDING_L[0] <= middle <= BANDING_L[1] or ink < 0.15:
            continue
        at = y if axis == "feed" else x
        mean = light.mean(axis=1 if axis == "feed" else 0)
        # ΔL* goes with (L* + 16) for the same share of light, and a share of the ink with the ink there is.
        even = (mean - mean.mean()) * 66.0 / (middle + 16.0) / ink * (1.0 - _luminance(50.0) / paper_y)
        series.append((at, even))
    return series if len(series) >= LEAST_PATCHES else []


def _luminance(lightness: float) -> float:
    return ((lightness + 16.0) / 116.0) ** 3
