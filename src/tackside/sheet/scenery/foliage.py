"""Leaves: a branch that reaches in from the side, some thousands of small blades, back to front."""

from __future__ import annotations

import math

from tackside.sheet.scenery.noise import hashed
from tackside.sheet.scenery.stage import Stage

_LEAVES = 4200
_SUNWARD = -0.45  # the direction of the light as an angle, right and a little up


def paint_branch(stage: Stage) -> None:
    """From the upper left corner; leaves at the back are dark and cool, those in front catch the sun."""
    draws = hashed((_LEAVES, 8), 123)
    twigs = _twigs(stage)
    for start, end, width in twigs:
        stage.stroke(start, end, width, (0.15, 0.11, 0.09))
    for number, draw in enumerate(draws):
        depth = number / _LEAVES
        start, end, _ = twigs[int(draw[0] * len(twigs)) % len(twigs)]
        along, spread = float(draw[1]) ** 0.8, 0.050 * (0.15 + float(draw[2]))
        turn = 2 * math.pi * float(draw[3])
        side = math.cos(turn - _SUNWARD)
        u = start[0] + (end[0] - start[0]) * along + spread * math.cos(turn)
        v = start[1] + (end[1] - start[1]) * along + spread * math.sin(turn) * 0.8
        light = (0.10 + 0.42 * depth) * (0.35 + 0.65 * float(draw[6])) + 0.26 * depth * max(side, 0.0)
        size = 0.010 + 0.011 * float(draw[4])
        _leaf(stage, u, v, size, -0.5 + 2.3 * float(draw[5]), light, float(draw[7]))


def _twigs(stage: Stage) -> list[tuple[tuple[float, float], tuple[float, float], float]]:
    reach = min(0.42 * stage.aspect, 0.72)
    draws = hashed((14, 3), 321)
    twigs = [((-0.03, 0.05), (reach * 0.55, 0.10), 0.012), ((-0.03, 0.16), (reach * 0.42, 0.21), 0.010)]
    for number, draw in enumerate(draws):
        base = twigs[number % 2]
        share = 0.1 + 0.9 * float(draw[0])
        start = (
            base[0][0] + (base[1][0] - base[0][0]) * share,
            base[0][1] + (base[1][1] - base[0][1]) * share,
        )
        length = reach * (0.14 + 0.22 * float(draw[1]))
        turn = -0.75 + 1.75 * float(draw[2])
        twigs.append((start, (start[0] + length * math.cos(turn), start[1] + length * math.sin(turn)), 0.004))
    return twigs


def _leaf(stage: Stage, u: float, v: float, length: float, angle: float, light: float, fold: float) -> None:
    """Two blades about a midrib; one of them turned from the light. ``light`` 0 to about 0.8."""
    along, across = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    wide = length * (0.18 + 0.22 * fold)

    def at(a: float, b: float) -> tuple[float, float]:
        return u + along[0] * a * length + across[0] * b * wide, v + along[1] * a * length + across[
            1
        ] * b * wide

    red, green, blue = (0.035 + 0.78 * light**1.15, 0.085 + 0.86 * light, 0.045 + 0.22 * light)
    stage.fill([at(0, 0), at(0.25, 0.8), at(0.45, 0.95), at(0.7, 0.62), at(1, 0)], (red, green, blue))
    stage.fill(
        [at(0, 0), at(0.25, -0.8), at(0.45, -0.95), at(0.7, -0.62), at(1, 0)],
        (red * 0.74, green * 0.80, blue * 0.85),
    )
    if light > 0.42:
        stage.stroke(at(0, 0), at(0.95, 0), length * 0.035, (red * 1.2, green * 1.15, blue * 1.3), 0.7)
