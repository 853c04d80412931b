"""Invented printers, inks and cards at random: what the verdict's weights are trained on.

No stock of the study is among them, nor any measured data. They range wider than the study's own: inks of any
usual gamut, black that takes away little or much of the colours, light that spreads little or much.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel

# CIELAB D50 of paper, c, m, cm, y, cy, my, cmy on a coated card: between FOGRA39L's solids
# (docs/sources.md, S28) and wider, invented inkjet ones (each invented set lies about these).
_SOLIDS = np.array(
    [
        (95.0, 0.0, 0.0),
        (57.0, -45.0, -56.0),
        (50.0, 84.0, -11.0),
        (25.0, 36.0, -64.0),
        (90.0, -7.0, 110.0),
        (52.0, -81.0, 40.0),
        (49.0, 79.0, 62.0),
        (20.0, 0.0, 0.0),
    ]
)


@dataclass(frozen=True)
class Works:
    """One printer with its inks: ``coated`` cards, each with its base, and ``bare`` ones."""

    printer: PrinterModel
    coated: tuple[tuple[StockModel, str], ...]
    bare: tuple[StockModel, ...]


def works(rng: np.random.Generator) -> Works:
    """A printer, its inks and its cards at random."""
    lead = float(rng.uniform(0.55, 1.0))
    removed = np.clip(rng.uniform(0.05, 0.6) + 0.07 * rng.standard_normal(3), 0.0, 0.8)
    inks = _inks(rng)
    coated = tuple(_coated(inks, rng) for _ in range(3))
    bare = tuple(_bare(inks, rng) for _ in range(2))
    r, g, b = (float(share) for share in removed)
    printer = PrinterModel(lead=lead, removed=(r, g, b))
    return Works(printer, coated, bare)


def _inks(rng: np.random.Generator) -> Floats:
    """Overprints (16, 3) of an invented set of inks, the same eight with black beneath last."""
    hue, chroma, light = rng.normal(0, 8, 3), rng.normal(1, 0.11, 3), rng.normal(0, 3.5, 3)
    wide = rng.uniform(0.82, 1.25)
    lab = _SOLIDS.copy()
    for number in range(1, 8):
        has = np.array([bool(number >> ink & 1) for ink in range(3)])
        L, a, b = lab[number]
        turn = np.radians(hue[has].mean() + rng.normal(0, 3))
        keep = np.prod(chroma[has]) ** (1 / has.sum()) * wide * rng.normal(1, 0.05)
        lab[number] = (
            L + light[has].mean() + rng.normal(0, 2),
            keep * (a * np.cos(turn) - b * np.sin(turn)),
            keep * (a * np.sin(turn) + b * np.cos(turn)),
        )
    lab[7] = (rng.uniform(13, 27), *rng.normal(0, 2.5, 2))
    black = lab * np.array([0.0, 0.03, 0.03]) + np.column_stack(
        [rng.uniform(3, 7, 8), rng.normal(0, 0.7, (8, 2))]
    )
    black[0, 0], black[7, 0] = 7.5, 2.5
    return np.concatenate([lab, black])


def _coated(inks: Floats, rng: np.random.Generator) -> tuple[StockModel, str]:
    base = str(rng.choice(["photo", "matt", "cotton"]))
    soft = base != "photo"
    return _card(
        inks,
        rng,
        paper=(rng.uniform(90, 97), rng.normal(0, 0.8), rng.normal(-1, 2.5)),
        black=rng.uniform(11, 19) if soft else rng.uniform(3, 14),
        hold=rng.uniform(0.76, 1.0) if soft else rng.uniform(0.86, 1.02),
        tone_increase=rng.uniform(0.06, 0.21),
        n=rng.uniform(1.3, 2.5),
        spread_um=rng.uniform(5, 19),
        feather_um=rng.uniform(8, 26),
        mottle=np.exp(rng.normal(-1.2, 0.45)),
    ), base


def _bare(inks: Floats, rng: np.random.Generator) -> StockModel:
    return _card(
        inks,
        rng,
        paper=(rng.uniform(87, 96), rng.normal(0, 0.8), rng.normal(0, 3)),
        black=rng.uniform(23, 36),
        hold=rng.uniform(0.48, 0.9),
        tone_increase=rng.uniform(0.1, 0.24),
        n=rng.uniform(1.5, 2.9),
        spread_um=rng.uniform(20, 52),
        feather_um=rng.uniform(24, 52),
        mottle=np.exp(rng.normal(-0.1, 0.4)),
        takes_ink=False,
    )


def _veiled(inks: Floats, black: float, paper: float, wanted: Floats) -> Floats:
    """The inks under the light of a surface that leaves their darkest at L* ``black``, chroma as ``wanted`` on average:
    R = s + (1 − s) R₀ (surface reflection adds to all colours; common physics)."""
    light = lab_to_xyz(inks)
    aim = float(lab_to_xyz(np.array([black, 0.0, 0.0]))[1])
    least = float(light[-1, 1])
    veil = max((aim - least) / (1 - least), 0.0)
    white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
    lab = xyz_to_lab(veil * white + (1 - veil) * light)
    lab[:, 0] = paper - (lab[0, 0] - lab[:, 0]) * (paper - black) / (lab[0, 0] - lab[-1, 0])
    lab[:, 1:] *= np.hypot(*wanted[1:7].T).mean() / np.hypot(*lab[1:7, 1:].T).mean()
    return np.asarray(lab)


def _card(
    inks: Floats,
    rng: np.random.Generator,
    *,
    paper: tuple[float, float, float],
    black: float,
    hold: float,
    takes_ink: bool = True,
    **traits: float,
) -> StockModel:
    depth = (inks[0, 0] - inks[:, 0]) / (inks[0, 0] - inks[-1, 0])
    kept = hold * (1 + 0.04 * rng.standard_normal(16))
    tint = np.array(paper[1:]) * (1 - depth[:, None])
    lab = np.column_stack([paper[0] - depth * (paper[0] - black), inks[:, 1:] * kept[:, None] + tint])
    # What lifts the dark colours: depth lost alike in all, or light that the surface throws back over all of them.
    share = rng.random()
    lab = share * lab + (1 - share) * _veiled(inks, black, paper[0], lab[:, 1:])
    lab[1:, 0] += (0.6 if takes_ink else 1.2) * rng.standard_normal(15)
    lab[0] = paper
    lab[:, 0] = np.clip(lab[:, 0], 2.0, paper[0])
    primaries = tuple((float(L), float(a), float(b)) for L, a, b in lab)
    return StockModel(
        "invented",
        primaries[0],
        float(black),
        primaries=primaries,
        takes_ink=takes_ink,
        **{name: float(value) for name, value in traits.items()},  # type: ignore[arg-type]
    )
