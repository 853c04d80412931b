"""Gulls over the water: a few strokes each, fine enough to show what a print can resolve."""

from __future__ import annotations

import math

from tackside.sheet.scenery.stage import Colour, Stage

# u as a share of the width, v, span in picture heights, bank in radians, lift of the wings
_FLOCK = (
    (0.400, 0.165, 0.066, -0.25, 0.34),
    (0.465, 0.235, 0.046, 0.12, 0.46),
    (0.530, 0.135, 0.034, -0.05, 0.22),
    (0.735, 0.115, 0.052, 0.30, 0.40),
    (0.790, 0.200, 0.028, 0.05, 0.50),
)
_WHITE: Colour = (0.97, 0.96, 0.94)
_SHADE: Colour = (0.62, 0.65, 0.71)
_TIP: Colour = (0.16, 0.17, 0.20)


def paint_gulls(stage: Stage) -> None:
    """Each with its body, two bent wings and dark tips."""
    for u, v, span, bank, lift in _FLOCK:
        _gull(stage, u * stage.aspect, v, span, bank, lift)


def _gull(stage: Stage, u: float, v: float, span: float, bank: float, lift: float) -> None:
    cos, sin = math.cos(bank), math.sin(bank)

    def at(x: float, y: float) -> tuple[float, float]:
        """x along the span, y upwards, both in spans."""
        return u + span * (x * cos + y * sin), v + span * (x * sin - y * cos)

    for way, colour in ((-1, _SHADE), (1, _WHITE)):
        elbow, tip = 0.21 * lift, 0.09 * lift
        front = [(0.03, 0.045), (0.20, elbow + 0.035), (0.34, elbow * 0.9), (0.50, tip)]
        rear = [(0.32, elbow * 0.9 - 0.05), (0.18, elbow - 0.045), (0.03, -0.03)]
        stage.fill([at(way * x, y) for x, y in front + rear], colour)
        stage.fill([at(way * x, y) for x, y in (front[2], front[3], (0.40, elbow * 0.6 - 0.02))], _TIP)
    body = [(math.cos(turn), math.sin(turn)) for turn in (2 * math.pi * part / 24 for part in range(24))]
    stage.fill([at(0.045 * x, 0.035 * y) for x, y in body], _WHITE)
