"""Light on two sheets, and the camera's tone curve, found together; what is left of each place is the card's own.

Model, for channel c of a place at x: F(number) = log T_c + L_c(x). T is the colour's linear strength, known for the
known print's greys and bare card; the new print's bare card has one unknown strength. F is the logarithm of sRGB's
curve (IEC 61966-2-1) with a smooth correction, the same for all channels, as cameras bend tones after their colours
are made. L is the logarithm of the light, of second order over the picture, and locally, by a Gaussian process through
what bare card leaves over (C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006,
equations 2.25 and 2.26), which follows a shadow's edge as far as bare card shows it; a straight band of shadow is found
first (``band``). The rest is least squares of what file numbers are missed by, with Huber's weights.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from tackside.colour.spaces import Floats
from tackside.reading.photo.band import ShadowBand, find_band
from tackside.reading.photo.samples import linear

# The correction of the tone curve: so many coefficients of cubic B-splines over the numbers from 0 to 1, held smooth.
CURVE_TERMS, SMOOTH = 8, 0.25
SURFACE_TERMS = 6
# Relative noise of a place: of the light itself, and of file numbers near black.
OWN_NOISE, DARK_NOISE = 0.01, 0.0015
LEAST = 2e-4
# What is local: reach in mm, how much light changes (log), how well one place is known.
REACH_MM, LOCAL_SD, PLACE_SD = 22.0, 0.04, 0.008
# Rounds without a band, and with one, whose place and depth take longer to agree.
HUBER, ROUNDS, BAND_ROUNDS = 1.5, 2, 5
STEPS = 12  # of Gauss and Newton, in each round
# The tone curve is nowhere flatter than this share of sRGB's (docs/sources.md, S208), its slope told over so much.
LEAST_SLOPE, NEAR = 0.2, 1e-3


@dataclass(frozen=True, eq=False)
class Places:
    """Places seen: ``px`` (n, 2), file ``numbers`` (n, 3), and ``strength`` (n, 3) linear, of which NaN is unknown.

    ``group`` (n,): −1 where the strength is known, else the number of the card whose bare white it is.
    """

    px: Floats
    numbers: Floats
    strength: Floats
    group: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Lit:
    """The tone curve and the light, fitted. ``off`` (m, 3): what bare card leaves over after the smooth part."""

    curve: Floats
    surface: Floats  # (6, 3)
    whites: Floats  # (groups, 3) log strength
    middle: Floats
    size: float
    reach_px: float
    bare_px: Floats
    off: Floats
    _solved: Floats
    _gram: Floats
    band: ShadowBand | None = None

    def toned(self, numbers: Floats) -> Floats:
        """Logarithm of light (…, 3) of file numbers (…, 3), 0 to 1."""
        return _logs(numbers) + _spline(numbers) @ self.curve

    def light(self, px: Floats) -> Floats:
        """Logarithm of the light (n, 3) at ``px`` (n, 2), with what is local of it."""
        return np.asarray(self.smooth(px) + self._near(px) @ self._solved)

    def smooth(self, px: Floats) -> Floats:
        flat = _surface((px - self.middle) / self.size) @ self.surface
        return np.asarray(flat if self.band is None else flat + self.band.over(px))

    def own(self, px: Floats, numbers: Floats) -> Floats:
        """Linear strength (n, 3) of places with even light: 1 is about the perfect diffuser's."""
        return np.asarray(np.exp(self.toned(numbers) - self.light(px)))

    def unsure(self, px: Floats) -> Floats:
        """How far (log, one standard deviation) the light at ``px`` (n,) may be off: more where bare card is far and
        the light around is uneven."""
        near = self._near(px)
        left = 1.0 - np.sum(near * np.linalg.solve(self._gram, near.T).T, axis=1)
        rough = np.sqrt(
            np.maximum((near @ (self.off**2).mean(axis=1)) / np.maximum(near.sum(axis=1), 1e-9), 0.0)
        )
        return np.asarray(rough * np.sqrt(np.clip(left, 0.0, 1.0)) + PLACE_SD)

    def left_over(self) -> Floats:
        """What each place of bare card (m,) is missed by from the others alone (log, mean over the channels)."""
        inverse = np.linalg.inv(self._gram)
        return np.asarray((inverse @ self.off / np.diag(inverse)[:, None]).mean(axis=1))

    def _near(self, px: Floats) -> Floats:
        return _kernel(px, self.bare_px, self.reach_px)


def fit_light(places: Places, px_per_mm: float, *, bends: bool = True) -> Lit:
    """``px_per_mm``: about, of the whole picture. ``bends``: whether greys are known that show the camera's tones."""
    groups = int(places.group.max(initial=-1)) + 1
    middle = places.px.mean(axis=0)
    size = max(float(np.ptp(places.px, axis=0).max()) / 2.0, 1.0)
    surface = _surface((places.px - middle) / size)
    known = places.group < 0
    ground = np.where(
        known[:, None], np.log(np.maximum(np.where(known[:, None], places.strength, 1.0), LEAST)), 0.0
    )
    noise = np.hypot(OWN_NOISE, DARK_NOISE / np.maximum(linear(places.numbers), LEAST))
    blocks, bent = [], np.zeros_like(ground)
    steeper = _slope_design(places.numbers)
    for channel in range(3):
        design = np.zeros((len(known), CURVE_TERMS + 3 * SURFACE_TERMS + 3 * groups))
        design[:, :CURVE_TERMS] = _spline(places.numbers[:, channel])
        start = CURVE_TERMS + channel * SURFACE_TERMS
        design[:, start : start + SURFACE_TERMS] = -surface
        for number in range(groups):
            design[places.group == number, CURVE_TERMS + 3 * SURFACE_TERMS + 3 * number + channel] = -1.0
        blocks.append(design)
        bent[:, channel] = ground[:, channel] - _logs(places.numbers[:, channel])
    rows, held = np.concatenate(blocks), _held(blocks[0].shape[1], bends=bends)
    bare = places.px[bright := _is_bare(places)]
    reach = REACH_MM * px_per_mm
    gram = _kernel(bare, bare, reach) + (PLACE_SD / LOCAL_SD) ** 2 * np.eye(len(bare))
    near = _kernel(places.px, bare, reach)
    # A shadow across the greys would be taken for the camera's tone: what bare card shows of it is taken off first. A
    # band of it, once found, is solved together with the tone, and alone: what was taken off before holds a part of it.
    local, whites = np.zeros_like(ground), np.zeros((groups, 3))
    band: ShadowBand | None = None
    for number in range(BAND_ROUNDS):
        if number >= ROUNDS and band is None:
            break
        shape = np.zeros(len(known)) if band is None else band.shape(places.px)
        solved = _robust(
            np.hstack([rows, np.kron(-np.eye(3), shape[:, None])]),
            (bent + local if band is None else bent).ravel(order="F"),
            noise.ravel(order="F"),
            np.hstack([held, np.zeros((len(held), 3))]),
            steeper,
        )
        curve = solved[:CURVE_TERMS]
        flat = solved[CURVE_TERMS : CURVE_TERMS + 3 * SURFACE_TERMS].reshape(3, SURFACE_TERMS).T
        whites = solved[CURVE_TERMS + 3 * SURFACE_TERMS : -3].reshape(groups, 3)
        truth = ground.copy()
        for group in range(groups):
            truth[places.group == group] = whites[group]
        logs = _logs(places.numbers) + _spline(places.numbers) @ curve
        off = (logs - truth - surface @ flat)[bright]
        band = find_band(bare, off, noise[bright].mean(axis=1), px_per_mm)
        if band is not None:
            off = off - band.over(bare)
        shares = np.asarray(np.linalg.solve(gram, off))
        local = near @ shares
    return Lit(curve, flat, whites, middle, size, reach, bare, off, shares, gram, band)


def _is_bare(places: Places) -> NDArray[np.bool_]:
    """Bare card, known or not: the brightest of the known ones and all of the others."""
    known = places.group < 0
    level = np.where(known, places.strength.mean(axis=1), np.inf)
    return np.asarray(~known | (level >= 0.97 * level[known].max(initial=0.0)))


def _held(unknowns: int, *, bends: bool) -> Floats:
    """Rows that hold the curve's correction smooth, and nothing at its middle, which fixes what is light and what tone;
    nothing everywhere unless it ``bends``."""
    if not bends:
        return np.eye(CURVE_TERMS, unknowns) * 1e4
    rows = np.zeros((CURVE_TERMS - 2 + 1, unknowns))
    for row in range(CURVE_TERMS - 2):
        rows[row, row : row + 3] = np.array([1.0, -2.0, 1.0]) / SMOOTH
    rows[-1, CURVE_TERMS // 2 : CURVE_TERMS // 2 + 2] = 1e3
    return rows


def _robust(design: Floats, wanted: Floats, noise: Floats, held: Floats, steeper: Floats) -> Floats:
    """Least squares of what file numbers are missed by, with Huber's weights, by Gauss and Newton's steps.

    F + correction = T + L: the design holds the correction, minus light, minus unknown whites. What that is missed by
    is held against the slope of F where it stands, since it is the numbers that are noisy: else the curve would be
    flattened where most of the places lie, bare card, just because all of them are alike then. ``steeper``: how the
    curve's terms change that slope, as a share of the first guess's.
    """
    solved: Floats = np.zeros(design.shape[1])
    terms = steeper.shape[1]
    for _ in range(STEPS):
        slope = 1.0 + steeper @ solved[:terms]
        free = slope > LEAST_SLOPE
        slope = np.maximum(slope, LEAST_SLOPE)
        missed = (design @ solved - wanted) / (noise * slope)
        changes = design / (noise * slope)[:, None]
        changes[:, :terms] -= (free * missed / slope)[:, None] * steeper
        off = np.abs(missed)
        limit = HUBER * max(1.4826 * float(np.median(off)), 0.3)
        weight = np.sqrt(np.minimum(1.0, limit / np.maximum(off, 1e-9)))
        rows = np.vstack([changes * weight[:, None], held])
        step = np.linalg.lstsq(rows, np.concatenate([-missed * weight, -held @ solved]), rcond=None)[0]
        solved = np.asarray(solved + step)
    return solved


def _slope_design(numbers: Floats) -> Floats:
    """What each of the curve's terms adds to the slope of F at file numbers (n, 3), as a share of the slope of the
    first guess: (3 n, CURVE_TERMS), channel by channel."""
    at = np.clip(numbers.ravel(order="F"), 2.0 * NEAR, 1.0 - 2.0 * NEAR)
    guess = _logs(at + NEAR) - _logs(at - NEAR)
    return np.asarray((_spline(at + NEAR) - _spline(at - NEAR)) / np.maximum(guess, 1e-6)[:, None])


def _logs(numbers: Floats) -> Floats:
    return np.asarray(np.log(np.maximum(linear(numbers), LEAST)))


def _spline(numbers: Floats) -> Floats:
    """Cubic B-splines (..., CURVE_TERMS) at numbers 0 to 1."""
    inner = np.linspace(0.0, 1.0, CURVE_TERMS - 2)
    knots = np.concatenate([[0.0] * 3, inner, [1.0] * 3])
    flat = np.clip(np.ravel(numbers), 0.0, 1.0 - 1e-9)
    made = BSpline.design_matrix(flat, knots, 3).toarray()
    return np.asarray(made.reshape(*np.shape(numbers), CURVE_TERMS))


def _surface(at: Floats) -> Floats:
    x, y = at[..., 0], at[..., 1]
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _kernel(one: Floats, other: Floats, reach: float) -> Floats:
    apart = ((one[:, None] - other[None]) ** 2).sum(axis=-1)
    return np.asarray(np.exp(-0.5 * apart / reach**2))
