"""The tone curve: how light each grey of the file comes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, Wording
from tackside.report.plots.axes import Axes
from tackside.report.plots.series import mark, style_of
from tackside.report.plots.svg import drawing, element, number

WIDTH, HEIGHT = 460, 454
MARKS = 7


@dataclass(frozen=True)
class Tone:
    """One trial's greys: device value (n,), 0 black to 1 white, and L* (n,)."""

    label: str
    device: Floats
    lightness: Floats


def tone_curve(tones: Sequence[Tone], aim: Tone | None = None, wording: Wording = TERMINAL) -> str:
    """L* over the grey's device value in per cent; ``aim`` is what the file asks for on an ideal white."""
    grey, lightness = (wording.text(Message(f"report.axis-{each}")) for each in ("grey", "lightness"))
    axes = Axes(WIDTH, HEIGHT, (0, 100), (0, 100), top=10, bottom=40, right=16)
    ticks = (0, 20, 40, 60, 80, 100)
    parts = [axes.ground(ticks, ticks, grey, lightness)]
    if aim is not None:
        parts.append(_line(axes, aim, "line aim"))
    for index, tone in enumerate(tones):
        parts.append(_line(axes, tone, f"line s{style_of(index)}"))
    for index, tone in enumerate(tones):
        parts += _marks(axes, tone, index, len(tones))
    names = ", ".join(tone.label for tone in tones)
    return drawing(
        WIDTH,
        HEIGHT,
        wording.text(Message("report.tone-curve")),
        wording.text(Message("report.tone-curve-told", names=names)),
        "".join(parts),
        "plot",
    )


def _line(axes: Axes, tone: Tone, class_: str) -> str:
    order = np.argsort(tone.device, kind="stable")
    places = (axes.at(100 * tone.device[i], tone.lightness[i]) for i in order)
    return element(
        "polyline", points=" ".join(",".join(map(number, place)) for place in places), class_=class_
    )


def _marks(axes: Axes, tone: Tone, index: int, trials: int) -> list[str]:
    """A few marks along the line, staggered so that those of two trials do not cover each other."""
    places = (np.arange(MARKS) + (index + 0.5) / max(trials, 1)) / MARKS
    order = np.argsort(tone.device, kind="stable")
    lightness = np.interp(places, tone.device[order], tone.lightness[order])
    return [mark(index, *axes.at(100 * x, y), size=4) for x, y in zip(places, lightness, strict=True)]
