"""What a profile makes of ramps and greys: lightness along each, casts along the greys, the ramps as colours."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from tackside.profile.icc.ramps import Neutral, ProfileRamp
from tackside.report.patches import to_screen
from tackside.report.plots.axes import Axes
from tackside.report.plots.series import style_of
from tackside.report.plots.svg import drawing, element, number, text

WIDTH, HEIGHT = 460, 454
STRIP, GAP, LABEL = 22, 7, 70
SHARES = (0, 20, 40, 60, 80, 100)


def ramp_curves(ramps: Sequence[ProfileRamp]) -> str:
    """L* over the share of the full colour in per cent."""
    axes = Axes(WIDTH, HEIGHT, (0, 100), (0, 100), top=10, bottom=40, right=16)
    parts = [
        axes.ground(SHARES, SHARES, "Share of the full colour in the file, %", "L* beside the medium's white")
    ]
    for index, ramp in enumerate(ramps):
        shares = np.linspace(0, 100, len(ramp.lab))
        parts.append(_line(axes, shares, ramp.lab[:, 0], index))
    names = ", ".join(ramp.name for ramp in ramps)
    return drawing(WIDTH, HEIGHT, "Tone curves", f"Lightness along ramps to {names}", "".join(parts), "plot")


def cast_curves(neutral: Neutral) -> str:
    """a* and b* of the greys over their L*."""
    most = float(np.abs(neutral.lab[:, 1:]).max())
    limit = 2.0 if most < 1.8 else 5.0 * math.ceil((most + 0.5) / 5)
    step = limit / 4 if limit == 2 else limit / 5
    axes = Axes(WIDTH, HEIGHT, (0, 100), (-limit, limit), top=10, bottom=40, right=16, left=54)
    ticks = np.arange(-limit, limit + step / 2, step).round(2).tolist()
    parts = [axes.ground(SHARES, ticks, "L* of the grey", "a* and b* of the grey")]
    order = np.argsort(neutral.lab[:, 0], kind="stable")
    parts += [_line(axes, neutral.lab[order, 0], neutral.lab[order, 1 + index], index) for index in range(2)]
    return drawing(WIDTH, HEIGHT, "Casts of the greys", "a* and b* along the greys", "".join(parts), "plot")


def ramp_strips(ramps: Sequence[ProfileRamp]) -> str:
    """Each ramp as a strip of its colours, as far as the screen can show them."""
    width = 800.0
    parts = []
    for row, ramp in enumerate(ramps):
        top = row * (STRIP + GAP)
        parts.append(text(0, top + STRIP / 2 + 4, ramp.name.capitalize(), "patch-row"))
        step = (width - LABEL) / len(ramp.lab)
        for place, fill in enumerate(to_screen(ramp.lab)[0]):
            x = LABEL + place * step
            parts.append(
                f'<rect x="{number(x)}" y="{top}" width="{number(step)}" height="{STRIP}" fill="{fill}"/>'
            )
    height = len(ramps) * (STRIP + GAP) - GAP
    names = ", ".join(ramp.name for ramp in ramps)
    return drawing(width, height, "Ramps", f"From white to {names}", "".join(parts), "patches")


def _line(axes: Axes, x: np.ndarray, y: np.ndarray, index: int) -> str:
    places = (axes.at(float(here), float(there)) for here, there in zip(x, y, strict=True))
    return element(
        "polyline",
        points=" ".join(",".join(map(number, place)) for place in places),
        class_=f"line s{style_of(index)}",
    )
