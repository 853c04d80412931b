"""Measures along the grey scale: white, black, Dmax, range, balance, steps that can be told apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.density import lightness_to_density
from tackside.records.verdict import Measure
from tackside.verdict.measures.patch_table import NEAR_BLACK, NEAR_WHITE, Floats, PatchTable, Ramp
from tackside.verdict.measures.uncertainty import chroma_sd, density_sd, lightness_sd

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
    for i in range(1, len(value)):
        sure = 2 * np.hypot(noise[i], noise[last])
        if abs(lightness[i] - lightness[last]) >= max(JUST_VISIBLE, sure):
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
