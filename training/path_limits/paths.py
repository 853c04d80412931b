"""Whole paths: a rendering intent, with or without black point compensation, and a way into the gamut."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.colour.spaces import ADOBE_RGB, RGB_SPACES, Floats, compensate, rgb_to_lab
from training.path_limits.gamuts import Gamut
from training.path_limits.mappings import CLIPS, TONES, Compression, on_paper

Intent = Literal["perceptual", "relative", "absolute"]


@dataclass(frozen=True)
class Path:
    """``show`` gives what it prints, CIELAB (n, 3), of the numbers (n, 3) of a file on a gamut."""

    intent: Intent
    compensated: bool
    way: str
    show: Callable[[Gamut, Floats], Floats]


def paths(space: str, *, clips: tuple[str, ...] = tuple(CLIPS)) -> Iterator[Path]:
    """Every path from a file in ``space``, ``srgb`` or ``adobe-rgb``."""
    source = RGB_SPACES[space]

    def absolute(name: str) -> Callable[[Gamut, Floats], Floats]:
        return lambda gamut, rgb: CLIPS[name](gamut, rgb_to_lab(rgb, source))

    def relative(name: str, compensated: bool) -> Callable[[Gamut, Floats], Floats]:
        def show(gamut: Gamut, rgb: Floats) -> Floats:
            aims = rgb_to_lab(rgb, source)
            if compensated:
                aims = compensate(aims, float(gamut.relative_black[0]))
            return CLIPS[name](gamut, on_paper(gamut, aims))

        return show

    def compressed(table: Compression) -> Callable[[Gamut, Floats], Floats]:
        return lambda gamut, rgb: table(gamut, rgb_to_lab(rgb, source))

    for name in clips:
        yield Path("absolute", False, name, absolute(name))
        yield Path("relative", False, name, relative(name, False))
        yield Path("relative", True, name, relative(name, True))
    sources = {"its own space": (source, 1.0), "15 % more": (source, 1.15), "Adobe RGB": (ADOBE_RGB, 1.0)}
    for named, (made_for, larger) in sources.items():
        for stretch in (1.0, 2.0, 4.0):
            for tone in TONES:
                table = Compression(tone, made_for, larger, stretch)
                yield Path(
                    "perceptual",
                    True,
                    f"made for {named}, knee {stretch:g}, black {tone}",
                    compressed(table),
                )


def sheet(levels: int, ramp_steps: int, greys: tuple[int, ...]) -> Floats:
    """The numbers (n, 3) of a path sheet: a cube, six ramps to the solids, greys in per cent of black; 8 bits."""
    axis = np.linspace(0, 1, levels)
    cube = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    tints = np.linspace(1 / ramp_steps, 1, ramp_steps)[:, None]
    taken = [(1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 1, 1), (1, 0, 1), (1, 1, 0)]
    ramps = np.vstack([1 - tints * np.array(each) for each in taken])
    grey = np.repeat(1 - np.array(greys)[:, None] / 100, 3, axis=1)
    return np.asarray(np.unique(np.round(np.vstack([cube, ramps, grey]) * 255), axis=0) / 255)
