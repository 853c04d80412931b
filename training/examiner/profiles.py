"""Profiles made for the examiner's cards: a chart printed and measured, tables worked out, bytes written.

The tables differ as those of different makers do: aims of clipping, knees, black generation, size, smoothing, version.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, distance_transform_edt, gaussian_filter

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import ADOBE_RGB, WHITE_D50, Floats, lab_to_rgb, rgb_to_lab, xyz_to_lab
from training.examiner.cards import Card
from training.examiner.cms import converted
from training.examiner.engines import Engine, Separation, draw_separation
from training.examiner.icc import INTENTS, lab_nodes, lab_numbers, printer_profile
from training.examiner.mapping import CLIPS, Clip, Compression, clipped, compressed
from training.examiner.solid import Solid

# The black of the reference medium to which a version 4 perceptual table relates (ISO 15076-1, 6.3.4.3).
V4_BLACK = 3.1373
CHART_NOISE = 0.15  # ΔE*ab an axis, of the instrument that measured the chart


@dataclass(frozen=True)
class Recipe:
    """How a profile is made. ``chart``: steps an axis; ``size``: nodes an axis of CIELAB; ``smooth``: σ in nodes."""

    chart: int
    size: int
    smooth: float
    clip: Clip
    perceptual: Compression
    saturation: Compression
    version: int
    black: str


def draw_recipe(rng: np.random.Generator) -> Recipe:
    def compression(knees: tuple[float, float]) -> Compression:
        return Compression(
            float(rng.uniform(*knees)),
            float(rng.uniform(1.2, 1.9)),
            float(rng.uniform(0.0, 1.0)),
            float(rng.uniform(0.5, 1.0)),
        )

    size = int(rng.choice([9, 13, 17, 21, 25, 33], p=[0.06, 0.16, 0.4, 0.2, 0.1, 0.08]))
    return Recipe(
        chart=int(rng.choice([7, 9, 11, 13])),
        size=size,
        smooth=float(rng.choice([0.0, 0.0, 0.4, 0.7])) if size >= 17 else 0.0,
        clip=CLIPS[int(rng.integers(len(CLIPS)))],
        perceptual=compression((0.35, 0.85)),
        saturation=compression((0.8, 0.95)),
        version=int(rng.choice([2, 2, 4])),
        black=str(rng.choice(["light", "medium", "heavy"])),
    )


def relative(xyz: Floats, paper: Floats) -> Floats:
    """CIELAB (n, 3) of XYZ relative to the paper's (ISO 15076-1, 6.3.2.2: scaled in XYZ)."""
    return xyz_to_lab(xyz / paper * WHITE_D50)


@dataclass(frozen=True, eq=False)
class Made:
    """A profile and the three-channel device that it was worked out for: ``solid`` of ``separation``'s numbers.

    ``separation`` None: the engine takes RGB as it is.
    """

    profile: bytes
    solid: Solid
    separation: Separation | None
    recipe: Recipe | None = None

    def numbers(self, device: Floats) -> Floats:
        """What the engine takes, of the three-channel device's numbers."""
        return device if self.separation is None else self.separation.amounts(device)


def solid_of(
    rng: np.random.Generator, engine: Engine, card: Card, separation: Separation | None, chart: int
) -> Solid:
    """The three-channel device's colours from a measured chart."""
    k = len(engine.inks)
    paper = card.xyz(np.zeros((1, k)))

    def measured(device: Floats) -> Floats:
        amounts = engine.amounts(device if separation is None else separation.amounts(device))
        lab = relative(card.xyz(amounts), paper)
        return lab + CHART_NOISE * rng.standard_normal(lab.shape)

    return Solid.of(measured, chart)


def make_profile(rng: np.random.Generator, engine: Engine, card: Card, recipe: Recipe) -> Made:
    """The profile of ``card`` in ``engine`` by ``recipe``."""
    separation = draw_separation(rng, engine.inks, recipe.black) if engine.takes == "cmyk" else None
    solid = solid_of(rng, engine, card, separation, recipe.chart)
    nodes, from_nearest = _wanted_nodes(recipe.size)
    dark = V4_BLACK if recipe.version == 4 else 0.0
    tables = {
        "perceptual": compressed(solid, nodes, recipe.perceptual, black_at=dark),
        "relative": clipped(solid, nodes, recipe.clip),
        "saturation": compressed(solid, nodes, recipe.saturation, black_at=dark),
    }
    shape = (recipe.size,) * 3
    made = Made(b"", solid, separation)
    from_lab = {
        intent: made.numbers(_smoothed(tables[intent][from_nearest], shape, recipe.smooth))
        for intent in INTENTS
    }
    channels = 4 if engine.takes == "cmyk" else 3
    axis = np.linspace(0.0, 1.0, 9 if channels == 4 else 17)
    device = np.array(list(product(axis, repeat=channels)))
    paper = card.xyz(np.zeros((1, len(engine.inks))))
    to_lab = relative(card.xyz(engine.amounts(device)), paper) if channels == 4 else solid.lab(device)
    profile = printer_profile(
        channels, to_lab, from_lab, paper[0], recipe.version, f"{card.name}, {recipe.clip}"
    )
    return Made(profile, solid, separation, recipe)


@lru_cache(maxsize=8)
def _wanted_nodes(size: int) -> tuple[Floats, NDArray[np.intp]]:
    """CIELAB (m, 3) of the nodes that any colour of the file spaces comes near, and for each of all size³ nodes the row
    of the nearest of them.
    """
    nodes, shape = lab_nodes(size), (size,) * 3
    axis = np.linspace(0.0, 1.0, 25)
    files = np.array(list(product(axis, repeat=3)))
    coded = lab_numbers(rgb_to_lab(files, ADOBE_RGB)) / 65535.0 * (size - 1)
    wanted = np.zeros(shape, dtype=bool)
    wanted[tuple(np.rint(coded).astype(int).T)] = True
    wanted = binary_dilation(wanted, np.ones((3, 3, 3), dtype=bool), iterations=2 if size > 17 else 1)
    nearest = distance_transform_edt(~wanted, return_distances=False, return_indices=True)
    row = np.full(shape, -1)
    row[wanted] = np.arange(int(wanted.sum()))
    return nodes[wanted.ravel()], row[tuple(nearest)].ravel()


def _smoothed(device: Floats, shape: tuple[int, ...], sigma: float) -> Floats:
    if sigma == 0.0:
        return device
    grid = device.reshape(*shape, device.shape[-1])
    # The two lightest planes stay, so that bare paper stays bare.
    soft = gaussian_filter(grid, (sigma, sigma, sigma, 0), mode="nearest")
    soft[-2:] = grid[-2:]
    # Nor are blacks averaged with what lies beside them, which would lift them.
    light = np.clip((lab_nodes(shape[0])[:, 0].reshape(shape) - 25.0) / 20.0, 0.0, 1.0)[..., None]
    soft = light * soft + (1.0 - light) * grid
    return np.asarray(soft.reshape(-1, device.shape[-1]))


def off(made: Made, engine: Engine, card: Card) -> float:
    """Mean ΔE00 of colours well inside the gamut through the relative table onto ``card``: how good the profile is."""
    rng = np.random.default_rng(1)
    wanted = made.solid.lab(rng.uniform(0.15, 0.9, (60, 3)))
    rgb = lab_to_rgb(wanted, ADOBE_RGB)
    held = np.all((rgb > 0.02) & (rgb < 0.98), axis=1)
    device = converted(rgb[held], "adobe-rgb", made.profile, "relative", False)
    paper = card.xyz(np.zeros((1, len(engine.inks))))
    shown = relative(card.xyz(engine.amounts(device)), paper)
    return float(delta_e_2000(shown, wanted[held]).mean())
