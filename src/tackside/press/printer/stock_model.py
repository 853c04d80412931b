"""The virtual press's card stocks. Every figure here is invented; the classes they fall in are those of the
trade."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tackside.colour.spaces import lab_to_xyz
from tackside.press.printer.halftone import Floats

Lab = tuple[float, float, float]

# Invented inks on an invented ideal photo stock: CIELAB D50 of bare paper, the inks and their overprints,
# in the order of ``halftone.OVERPRINTS``: w, c, m, cm, y, cy, my, cmy, then the same eight under black.
_IDEAL = np.array(
    [
        (96.0, 0.0, 0.0),
        (58.0, -52.5, -63.0),
        (51.0, 96.5, -17.0),
        (25.0, 48.5, -82.0),
        (91.0, -8.5, 127.0),
        (54.0, -95.5, 50.5),
        (51.0, 90.5, 77.5),
        (16.0, 0.0, 0.0),
        (7.0, 0.0, 0.0),
        (4.5, -1.0, -1.0),
        (4.5, 1.0, -0.5),
        (3.5, 0.5, -1.0),
        (6.0, 0.0, 1.0),
        (4.0, -0.5, 0.5),
        (4.0, 0.5, 0.5),
        (3.0, 0.0, 0.0),
    ]
)
_CHROMATIC = {"c": 1, "m": 2, "b": 3, "y": 4, "g": 5, "r": 6}


@dataclass(frozen=True)
class StockModel:
    """One side of a card stock as the virtual press sees it. All figures are invented.

    ``paper_lab``: bare stock, CIELAB D50. ``black_l``: L* of the darkest overprint. ``hold_*``: share of the ideal
    stock's chroma that a solid keeps, 0 to 1, for cyan, magenta, yellow, red, green and blue. ``tone_increase``:
    tone value increase at a tone of 0.5. ``n``: Yule–Nielsen exponent. ``spread_um``: how far ink creeps beyond
    each edge, µm, so that a line grows by twice as much. ``feather_um``: standard deviation of the edge's blur, µm.
    ``bleed_um``: how much further ink creeps, µm an edge, where the field that it meets is itself wet with ink, at
    a full tone or more of it; less in proportion in a tint. ``mottle`` and ``grain``: standard deviation of L* in a
    tone of about L* 50, below and above 0.4 cycles/mm. ``takes_ink``: whether the side has an inkjet coating. Gloss
    is left out: a flat scan could not show it. ``primaries``: the 16 overprints, CIELAB D50, in the order of
    ``halftone.OVERPRINTS``, where they were fitted to measured data; paper, black and ``hold_*`` are then taken
    from them.
    """

    name: str
    paper_lab: Lab
    black_l: float
    hold_c: float = 1.0
    hold_m: float = 1.0
    hold_y: float = 1.0
    hold_r: float = 1.0
    hold_g: float = 1.0
    hold_b: float = 1.0
    tone_increase: float = 0.12
    n: float = 1.8
    spread_um: float = 8.0
    feather_um: float = 12.0
    bleed_um: float = 3.0
    mottle: float = 0.2
    grain: float = 0.3
    takes_ink: bool = True
    seed: int = 1
    primaries: tuple[Lab, ...] | None = None

    @cached_property
    def overprints_lab(self) -> Floats:
        """The 16 overprints on this stock, (16, 3) CIELAB D50: the ideal ones, drawn in between black and
        paper."""
        if self.primaries is not None:
            return np.array(self.primaries)
        paper = np.array(self.paper_lab)
        depth = (_IDEAL[0, 0] - _IDEAL[:, 0]) / (_IDEAL[0, 0] - _IDEAL[-1, 0])  # 0 paper, 1 darkest
        hold = np.full(len(_IDEAL), min(self.hold_c, self.hold_m, self.hold_y))
        for ink, number in _CHROMATIC.items():
            hold[number] = getattr(self, f"hold_{ink}")
        lightness = paper[0] - depth * (paper[0] - self.black_l)
        chroma = _IDEAL[:, 1:] * hold[:, np.newaxis] + paper[1:] * (1.0 - depth[:, np.newaxis])
        return np.column_stack([lightness, chroma])

    @cached_property
    def overprints_xyz(self) -> Floats:
        """The same as XYZ (16, 3), Y = 1 for the perfect diffuser; never below 10⁻⁵."""
        return np.asarray(np.maximum(lab_to_xyz(self.overprints_lab), 1e-5))

    @property
    def paper_xyz(self) -> Floats:
        """Bare stock, XYZ (3,)."""
        return np.asarray(self.overprints_xyz[0])


def semi_gloss() -> StockModel:
    """A photo card with a semi-gloss coating: deep black, clean edges."""
    return StockModel("semi-gloss", (94.5, 0.3, -2.5), black_l=4.5, seed=11)


def cotton_etching() -> StockModel:
    """A cotton etching card, coated for inkjet: warm, matt, grainy, with a soft black."""
    return StockModel(
        "cotton etching",
        (95.0, 0.2, 2.2),
        black_l=15.2,
        hold_c=0.86,
        hold_m=0.84,
        hold_y=0.90,
        hold_r=0.86,
        hold_g=0.82,
        hold_b=0.80,
        tone_increase=0.15,
        n=2.0,
        spread_um=14.0,
        feather_um=20.0,
        bleed_um=6.0,
        mottle=0.35,
        grain=0.9,
        seed=12,
    )


def matt_coated() -> StockModel:
    """The coated side of a matt card."""
    return StockModel(
        "matt coated",
        (95.5, 0.8, -3.5),
        black_l=15.1,
        hold_c=0.84,
        hold_m=0.82,
        hold_y=0.87,
        hold_r=0.84,
        hold_g=0.83,
        hold_b=0.80,
        tone_increase=0.16,
        n=2.0,
        spread_um=15.0,
        feather_um=18.0,
        bleed_um=7.0,
        mottle=0.4,
        grain=0.5,
        seed=13,
    )


def matt_uncoated_back() -> StockModel:
    """The bare back of the matt card: it looks the same and drinks the ink."""
    return StockModel(
        "matt card, uncoated back",
        (94.0, 0.6, -2.8),
        black_l=28.0,
        hold_c=0.68,
        hold_m=0.66,
        hold_y=0.74,
        hold_r=0.66,
        hold_g=0.60,
        hold_b=0.58,
        tone_increase=0.20,
        n=2.4,
        spread_um=32.0,
        feather_um=34.0,
        bleed_um=22.0,
        mottle=0.9,
        grain=0.9,
        takes_ink=False,
        seed=14,
    )


def craft_card() -> StockModel:
    """Cheap craft card with no inkjet coating: washed-out colour, feathered lines, blotches."""
    return replace(
        matt_uncoated_back(),
        name="craft card",
        paper_lab=(92.0, -0.2, 3.5),
        black_l=30.0,
        hold_c=0.62,
        hold_m=0.60,
        hold_y=0.70,
        hold_r=0.60,
        hold_g=0.55,
        hold_b=0.52,
        tone_increase=0.22,
        spread_um=42.0,
        feather_um=42.0,
        bleed_um=30.0,
        mottle=1.2,
        grain=1.2,
        seed=15,
    )
