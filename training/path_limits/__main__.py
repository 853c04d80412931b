"""Prints what paths show of path sheets, and the figures that the grading rules take from it.

    .venv/bin/python -m training.path_limits                      # the open data, and invented gamuts at the limits
    .venv/bin/python -m training.path_limits FILE [FILE …]        # other characterisation data, for a check alone

The first takes a quarter of an hour on one core. What it prints as SHOWN and FINER stands in
``src/tackside/verdict/grade/limits.py``, and in docs/sources.md (S101).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import numpy as np
from scipy.spatial import ConvexHull

from tackside.verdict.grade.limits import COVERAGE
from tackside.verdict.grade.rules import GAMUT
from tackside.verdict.measures.path import hue_shares
from training.path_limits.gamuts import Gamut, between, characterised, gamut_of
from training.path_limits.paths import Path as Way
from training.path_limits.paths import paths, sheet

REFERENCE = Path(__file__).parents[2] / "tests" / "reference"
COATED, UNCOATED = ("FOGRA39L", "TR003"), "FOGRA29L"
SPACES = ("srgb", "adobe-rgb")
# The smallest sheet that holds a cube of four levels, and its greys in per cent.
GREYS = (*range(0, 101, 5), 1, 2, 3, 97, 98, 99)
LEVELS, RAMP = 4, 6
# Ramps grow with the sheet too.
RAMPS = {3: 6, 4: 6, 5: 8, 6: 8, 7: 9, 8: 9, 9: 9}
WAYS_FOR_LEVELS = ("ΔE*ab", "CIE94, hue × 2", "lightness kept")


@dataclass(frozen=True)
class Row:
    """What one path shows of the sheet on one gamut: volumes in cubic ΔE*ab, the weakest hue's share, black L*."""

    gamut: Gamut
    space: str
    way: Way
    hull: float
    corners: float
    hue: float
    black: float

    @property
    def kind(self) -> str:
        return "compressed" if self.way.intent == "perceptual" else "clipped"


def rows(gamuts: Iterable[Gamut]) -> Iterator[Row]:
    numbers = sheet(LEVELS, RAMP, GREYS)
    solid = [int(np.argmin(np.abs(numbers - corner).sum(axis=1))) for corner in np.ndindex(2, 2, 2)]
    black = int(np.argmin(numbers.sum(axis=1)))
    for gamut in gamuts:
        for space in SPACES:
            for way in paths(space):
                lab = way.show(gamut, numbers)
                yield Row(
                    gamut,
                    space,
                    way,
                    float(ConvexHull(lab).volume),
                    float(ConvexHull(lab[solid]).volume),
                    min(share for share, _ in hue_shares(lab).values()),
                    float(lab[black, 0]),
                )


def tell(found: Iterable[Row]) -> Iterator[Row]:
    """Prints least, middle and most of each figure, and passes the rows on."""
    print("gamut, file's space, intent: all colours | eight corners (thousands) | weakest hue | black L*")
    for (gamut, space), of_space in groupby(found, key=lambda row: (row.gamut, row.space)):
        its = list(of_space)
        print(f"{gamut.name}, spans {gamut.span / 1e3:.0f}, black L* {gamut.black[0]:.1f}, {space}")
        for intent in ("relative", "absolute", "perceptual"):
            of_intent = [row for row in its if row.way.intent == intent]
            least = min(of_intent, key=lambda row: row.hull)
            figures = np.array([(r.hull / 1e3, r.corners / 1e3, r.hue, r.black) for r in of_intent])
            low, middle, high = figures.min(axis=0), np.median(figures, axis=0), figures.max(axis=0)
            told = " | ".join(
                f"{low[i]:.{d}f} {middle[i]:.{d}f} {high[i]:.{d}f}" for i, d in enumerate((0, 0, 2, 1))
            )
            print(f"  {intent:10}  {told}   (least: {least.way.way})", flush=True)
        yield from its


def shown(found: list[Row]) -> None:
    """Span of the corners over the hull of what is shown: geometric mean and spread, and the limits that follow."""
    print(
        "\nSHOWN: times, spread of its logarithm; limits of a path sheet at those of a device sheet, thousands"
    )
    for space in SPACES:
        for kind in ("clipped", "compressed", "any"):
            # Any: a path of unknown kind is as likely to be of either.
            logs = [
                [np.log(row.gamut.span / row.hull) for row in found if row.space == space and row.kind == one]
                for one in (("clipped", "compressed") if kind == "any" else (kind,))
            ]
            mean = float(np.mean([np.mean(one) for one in logs]))
            spread = float(np.sqrt(np.mean([np.mean((np.array(one) - mean) ** 2) for one in logs])))
            limits = [limit / np.exp(mean + COVERAGE * spread) / 1e3 for limit in GAMUT.limits]
            told = ", ".join(f"{limit:.0f}" for limit in limits)
            print(f"  {space:9} {kind:10}  {np.exp(mean):.3f}, {spread:.3f};  {told}")


def finer(gamuts: list[Gamut]) -> None:
    """How much more cubes of more levels show."""
    more: dict[int, list[float]] = {levels: [] for levels in RAMPS}
    for gamut in gamuts:
        for space in SPACES:
            for way in paths(space, clips=WAYS_FOR_LEVELS):
                if way.intent == "absolute" or (
                    way.intent == "perceptual" and "knee 2, black toe" not in way.way
                ):
                    continue
                hulls = {n: ConvexHull(way.show(gamut, sheet(n, RAMPS[n], GREYS))).volume for n in RAMPS}
                for levels, hull in hulls.items():
                    more[levels].append(hull / hulls[LEVELS])
    print("\nFINER: hull beside that of four levels, mean and spread")
    for levels, shares in more.items():
        print(f"  {levels}: {np.mean(shares):.3f}, {np.std(shares):.3f}")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", nargs="*", type=Path, help="Characterisation data of CMYK presses.")
    files: list[Path] = parser.parse_args().files
    if files:
        for _ in tell(rows(gamut_of(file.stem, characterised(file).to_lab) for file in files)):
            pass
        return
    presses = {name: characterised(REFERENCE / f"{name}.txt") for name in (*COATED, UNCOATED)}
    own = [gamut_of(name, press.to_lab) for name, press in presses.items()]
    invented = [
        between(f"{name} to {UNCOATED} at {limit / 1e3:.0f}", presses[name], presses[UNCOATED], limit)
        for name in COATED
        for limit in GAMUT.limits
    ]
    shown(list(tell(rows([*own, *invented]))))
    finer([own[0], own[-1]])


if __name__ == "__main__":
    main()
