"""All measures of one reading, by name: along the grey scale, of colour, of size and lines.

The names are those of the command's JSON. Each measure says how far it can be trusted, as one standard uncertainty.
Two parts add in squares (GUM, JCGM 100:2008, 5.1.2): what all patches share (the instrument's or scanner's own
deviation, given in ΔE00) and what is each patch's own (its spread over repeats or over its area, in ΔE*ab). Nothing is
known of their direction in colour, so a third of the variance falls to each of lightness, chroma and hue.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tackside.colour.gamut import HULL_METHOD, gamut_volume, hull_volume
from tackside.colour.hull import hull_volume_and_slopes
from tackside.colour.spaces import lightness_to_density
from tackside.records.reading import Reading
from tackside.records.verdict import Measure
from tackside.verdict.measures.patch_table import NEAR_BLACK, NEAR_WHITE, Floats, PatchTable, Ramp


def measure(table: PatchTable, reading: Reading | None = None) -> dict[str, Measure]:
    """Measures of a reading's patches, and of its placement where it has one.

    A measure whose patches were not read is left out, never guessed.
    """
    measures = extremes(table) | volumes(table) | solid_chromas(table) | grey_balance(table) | steps(table)
    return measures if reading is None else measures | _size(reading) | _line_gain(reading)


def number(measures: dict[str, Measure], name: str) -> float | None:
    """The value of a measure that is a single figure, or None where it was not measured."""
    found = measures.get(name)
    return None if found is None or isinstance(found.value, tuple) else found.value


def spread(measures: dict[str, Measure], name: str) -> float:
    """One standard uncertainty of a measure, 0 where it has none."""
    found = measures.get(name)
    return 0.0 if found is None or found.sd is None else found.sd


def _size(reading: Reading) -> dict[str, Measure]:
    """The larger of the two deviations from true size, in per cent."""
    place = reading.placement
    if place is None:
        return {}
    off_x, off_y = (100 * (scale - 1) for scale in (place.scale_x, place.scale_y))
    worst = max(off_x, off_y, key=abs)
    # Marks located to their residual over a sheet of at least 90 mm, the smallest there is.
    sd = 100 * (place.residual_um / 1000) / 90
    return {
        "size_error": Measure(value=worst, unit="%", sd=sd, method="marks of the sheet, worse of x and y")
    }


def _line_gain(reading: Reading) -> dict[str, Measure]:
    """By how much black lines grew, in µm, the mean of both directions where both were judged."""
    gains = [gain for name, gain in reading.attributes.items() if name.startswith("line_gain")]
    if not gains:
        return {}
    # Lines of several widths and directions differ among themselves more than the scanner errs.
    sd = max((gain.sd or 0.0) for gain in gains) / len(gains) ** 0.5
    value = sum(gain.value for gain in gains) / len(gains)
    return {
        "line_gain": Measure(value=value, unit="µm", sd=sd, method="black lines of the sheet, edges at R60")
    }


# About one ΔE00 is just visible (docs/sources.md, S32); between greys that is about one L*.
JUST_VISIBLE = 1.0
# Paper colour that remains in the darkest grey of the near-neutral aim.
_PAPER_FADE = 0.85
# Draws of the noise for figures that jump (counts, first steps); fixed seed, so the same reading gives the
# same.
_DRAWS, _SEED = 64, 12647


def extremes(table: PatchTable) -> dict[str, Measure]:
    """Paper white, black, Dmax and the range between them."""
    paper, black = table.lab[table.paper], table.lab[table.black]
    white_sd = float(lightness_sd(paper[0], table.noise[table.paper], table.de00))
    black_sd = float(lightness_sd(black[0], table.noise[table.black], table.de00))
    dmax = float(lightness_to_density(black[0]))
    return {
        "paper_lab": Measure(value=_three(paper), unit="CIELAB", sd=white_sd, method="unprinted patch"),
        "black_l": Measure(value=float(black[0]), unit="L*", sd=black_sd, method=table.black_is),
        "black_lab": Measure(value=_three(black), unit="CIELAB", sd=black_sd, method=table.black_is),
        "dmax": Measure(
            value=dmax,
            unit="D",
            sd=density_sd(float(black[0]), black_sd),
            method="visual density of that black",
        ),
        "l_range": Measure(
            value=float(paper[0] - black[0]),
            unit="L*",
            sd=float(np.hypot(white_sd, black_sd)),
            method="paper − black",
        ),
    }


def near_neutral_aim(lightness: Floats, paper: Floats, darkest: float) -> Floats:
    """a* and b* (n, 2) that a grey of this lightness should have on this paper.

    a*aim = a*paper · (1 − 0.85 · (Lpaper − L) / (Lpaper − Lmin)), b* likewise (docs/sources.md, S33).
    """
    depth = (paper[0] - lightness) / max(float(paper[0]) - darkest, 1e-6)
    return np.asarray(paper[None, 1:] * (1 - _PAPER_FADE * np.clip(depth, 0, 1))[:, None])


def grey_balance(table: PatchTable) -> dict[str, Measure]:
    """Mean and largest ΔCh of the greys from the near-neutral aim."""
    ramp = table.greys
    if ramp is None:
        return {}
    inked = ramp.value < 1 - 1e-6
    lab, noise = table.lab[ramp.rows][inked], table.noise[ramp.rows][inked]
    aim = near_neutral_aim(lab[:, 0], table.lab[table.paper], float(table.lab[table.black, 0]))
    off = np.hypot(*(lab[:, 1:] - aim).T)
    worst = int(np.argmax(off))
    shared = float(chroma_sd(0.0, 0.0, table.de00))
    mean_sd = float(np.hypot(shared, np.sqrt(np.sum(noise**2) / 3) / len(noise)))
    return {
        "grey_balance_mean": Measure(value=float(off.mean()), unit="ΔCh", sd=mean_sd, method=ramp.of),
        "grey_balance_max": Measure(
            value=float(off[worst]),
            unit="ΔCh",
            sd=float(chroma_sd(0.0, noise[worst], table.de00)),
            method=ramp.of,
        ),
    }


@dataclass(frozen=True)
class _Steps:
    """Levels told apart, of how many, and the device value at which the first differs from the end."""

    told_apart: int
    of: int
    opens_at: float


def steps(table: PatchTable) -> dict[str, Measure]:
    """Steps near black and near white that can be told apart, and reversals along the whole ramp."""
    ramp = table.greys
    if ramp is None:
        return {}
    lightness, noise = table.lab[ramp.rows, 0], table.noise[ramp.rows] / np.sqrt(3)
    measures = {
        "reversals": _with_draws(lambda L: float(_reversals(L, noise)), lightness, noise, "steps", ramp.of)
    }
    for name, chosen, from_dark in (
        ("shadow", ramp.value <= NEAR_BLACK, True),
        ("highlight", ramp.value >= NEAR_WHITE, False),
    ):
        if chosen.sum() < 3:
            continue
        order = np.flatnonzero(chosen) if from_dark else np.flatnonzero(chosen)[::-1]
        measures |= _end(name, ramp, order, lightness, noise)
    return measures


def _end(
    name: str, ramp: Ramp, rows: NDArray[np.intp], lightness: Floats, noise: Floats
) -> dict[str, Measure]:
    value, own, spread = ramp.value[rows], lightness[rows], noise[rows]
    found = _steps(value, own, spread)
    count = _with_draws(
        lambda L: float(_steps(value, L, spread).told_apart), own, spread, f"of {found.of} steps", ramp.of
    ).model_copy(update={"of": found.of})
    opens = _with_draws(lambda L: _steps(value, L, spread).opens_at, own, spread, "device", ramp.of)
    # The figure can only fall on a step that is there: the spread of an even chance over the widest gap.
    grid = float(np.abs(np.diff(value)).max()) / np.sqrt(12)
    opens = opens.model_copy(update={"sd": float(np.hypot(opens.sd or 0.0, grid))})
    return {f"{name}_steps": count, f"{name}_opens_at": opens}


def _steps(value: Floats, lightness: Floats, noise: Floats) -> _Steps:
    """Walk inwards; a step counts once it is visibly, and surely, away from the last that counted."""
    last, told_apart, opens_at = 0, 0, abs(float(value[-1] - value[0]))
    light, spread = (
        lightness.tolist(),
        noise.tolist(),
    )  # NumPy gives out single numbers slowly
    for i in range(1, len(light)):
        if abs(light[i] - light[last]) >= max(JUST_VISIBLE, 2 * math.hypot(spread[i], spread[last])):
            if told_apart == 0:
                opens_at = abs(float(value[i] - value[0]))
            told_apart, last = told_apart + 1, i
    return _Steps(told_apart, len(value) - 1, opens_at)


def _reversals(lightness: Floats, noise: Floats) -> int:
    """Steps that are visibly, and surely, darker than the step before them though asked to be lighter."""
    fall = lightness[:-1] - lightness[1:]
    return int(np.sum(fall > np.maximum(JUST_VISIBLE, 2 * np.hypot(noise[:-1], noise[1:]))))


def _with_draws(
    figure: Callable[[Floats], float], lightness: Floats, noise: Floats, unit: str, method: str
) -> Measure:
    """``figure`` of the lightnesses, its sd by redrawing their noise."""
    return Measure(value=figure(lightness), unit=unit, sd=drawn_sd(figure, lightness, noise), method=method)


def drawn_sd(figure: Callable[[Floats], float], lightness: Floats, noise: Floats) -> float:
    """The spread of ``figure`` over lightnesses (n,) drawn anew with their noise (n,), one sd each."""
    if not noise.any():
        return 0.0
    draws = np.random.default_rng(_SEED).normal(size=(_DRAWS, lightness.size)) * noise + lightness
    return float(np.std([figure(draw) for draw in draws]))


def _three(lab: Floats) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])


VOLUME_UNIT = "ΔE³"
CORNERS_METHOD = "convex hull of paper, black and the six solids"


def solid_chromas(table: PatchTable) -> dict[str, Measure]:
    """C*ab of the solids C, M, Y, R, G, B that were read: ``chroma_c`` and so on."""
    measures = {}
    for name, row in table.solids.items():
        chroma = float(np.hypot(table.lab[row, 1], table.lab[row, 2]))
        sd = float(chroma_sd(chroma, table.noise[row], table.de00))
        measures[f"chroma_{name}"] = Measure(
            value=chroma, unit="C*ab", sd=sd, method=f"patch {table.names[row]}"
        )
    return measures


def volumes(table: PatchTable) -> dict[str, Measure]:
    """``gamut_volume`` by the best method, ``gamut_hull`` by the hull, ``gamut_corners`` by eight colours."""
    device = table.rgb if table.rgb is not None else table.cmyk
    best = gamut_volume(device, table.lab)
    if best.volume <= 0:
        return {}
    measures = {
        "gamut_volume": Measure(
            value=best.volume,
            unit=VOLUME_UNIT,
            sd=volume_sd(table, best.volume, np.arange(len(table.lab))),
            method=best.method,
        )
    }
    if best.method != HULL_METHOD:
        hull = hull_volume(table.lab)
        measures["gamut_hull"] = Measure(
            value=hull,
            unit=VOLUME_UNIT,
            sd=volume_sd(table, hull, np.arange(len(table.lab))),
            method=HULL_METHOD,
        )
    if len(table.solids) == 6:
        rows = np.array([table.paper, table.black, *table.solids.values()])
        corners = hull_volume(table.lab[rows])
        measures["gamut_corners"] = Measure(
            value=corners, unit=VOLUME_UNIT, sd=volume_sd(table, corners, rows), method=CORNERS_METHOD
        )
    return measures


def volume_sd(table: PatchTable, volume: float, rows: np.ndarray[tuple[int], np.dtype[np.intp]]) -> float:
    """One sd of a volume: the shared deviation as a stretch of L* and of chroma, and the patches' own noise.

    V grows with the stretch of lightness once and of chroma twice. The noise is carried by the slope of the
    convex hull's volume by each patch, in proportion where the volume is not the hull's.
    """
    lab, noise = table.lab[rows], table.noise[rows]
    hull, slopes = hull_volume_and_slopes(lab)
    own = float(np.sqrt(np.sum(slopes**2 * noise[:, None] ** 2 / 3))) * volume / max(hull, 1e-9)
    return float(np.hypot(volume * _stretch(lab, table.de00), own))


def _stretch(lab: Floats, de00: float) -> float:
    """Relative sd of a volume from a deviation of ``de00`` that grows or shrinks the whole solid."""
    lightness, chroma = lab[:, 0], np.hypot(lab[:, 1], lab[:, 2])
    ends = np.array([lightness.min(), lightness.max()])
    reach = max(float(ends[1] - ends[0]), 1e-6)
    along = de00 / AXES * float(np.sqrt(np.sum(lightness_weight(ends) ** 2))) / reach
    far = max(float(np.quantile(chroma, 0.9)), 1e-6)
    across = de00 / AXES * float(chroma_weight(far)) / far
    return float(np.hypot(along, 2 * across))


# C*ab of the solids of offset printing on uncoated paper, as measured (docs/sources.md, S28).
UNCOATED_CHROMA = {"c": 50.4, "m": 59.6, "y": 79.2, "r": 63.0, "g": 46.6, "b": 33.2}
COLOUR_NAMES = {"c": "cyan", "m": "magenta", "y": "yellow", "r": "red", "g": "green", "b": "blue"}


def weakest_solid(measures: dict[str, Measure]) -> dict[str, Measure]:
    """``weakest_solid``: the least share of UNCOATED_CHROMA among the solids; ``method`` names its colour.

    ``solid_balance``: that share over the median one, where there are three at least. One missing ink makes it
    small, dull colour throughout does not.
    """
    shares = {
        name: (value / usual, spread(measures, f"chroma_{name}") / usual)
        for name, usual in UNCOATED_CHROMA.items()
        if (value := number(measures, f"chroma_{name}")) is not None
    }
    if not shares:
        return {}
    weakest = min(shares, key=lambda name: shares[name][0])
    share, sd = shares[weakest]
    found = {"weakest_solid": Measure(value=share, unit="share", sd=sd, method=COLOUR_NAMES[weakest])}
    middle = median(value for value, _ in shares.values())
    if len(shares) < 3 or middle <= 0:
        return found
    # The median of several solids is steadier than the weakest one: its own uncertainty is left out.
    balance = Measure(value=share / middle, unit="share", sd=sd / middle, method=COLOUR_NAMES[weakest])
    return {**found, "solid_balance": balance}


AXES = float(np.sqrt(3))


def lightness_weight(lightness: ArrayLike) -> Floats:
    """S_L of CIEDE2000 (ISO/CIE 11664-6): ΔL* that one ΔE00 stands for at this lightness."""
    away = (np.asarray(lightness, dtype=float) - 50) ** 2
    return np.asarray(1 + 0.015 * away / np.sqrt(20 + away))


def chroma_weight(chroma: ArrayLike) -> Floats:
    """S_C of CIEDE2000: ΔC*ab that one ΔE00 stands for at this chroma."""
    return np.asarray(1 + 0.045 * np.asarray(chroma, dtype=float))


def lightness_sd(lightness: ArrayLike, noise: ArrayLike, de00: float) -> Floats:
    """One sd of L*, from a patch's own ``noise`` in ΔE*ab and the shared ``de00``."""
    return np.asarray(np.hypot(de00 * lightness_weight(lightness), noise) / AXES)


def chroma_sd(chroma: ArrayLike, noise: ArrayLike, de00: float) -> Floats:
    """One sd of C*ab (or of a* or b*, for a neutral), likewise."""
    return np.asarray(np.hypot(de00 * chroma_weight(chroma), noise) / AXES)


def density_sd(lightness: float, sd: float) -> float:
    """One sd of the visual density of a neutral, by the slope of D over L* at this lightness."""
    step = 0.01
    low, high = max(lightness - step, 0.05), max(lightness - step, 0.05) + 2 * step
    slope = float(lightness_to_density(high) - lightness_to_density(low)) / (2 * step)
    return abs(slope) * sd
