"""Lines, areas and size as a reader would state them, foretold from how the card takes drops and the glass blurs.

An edge is a normal one; its width and blurriness are those of ISO/IEC 24790 (R60; 10 to 90 %), worked out from the
sum of two such edges where the head's passes land apart.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from tackside.colour.spaces import Floats
from tackside.reading.quality.all import apart_um
from tackside.reading.scan.lines import STATED_MM, TEN_TO_NINETY
from tackside.records import Attribute, Placement
from tackside.records.sheet_plan import SheetPlan
from training.examiner.cards import Grain
from training.examiner.glass import Flatbed
from training.examiner.prints import Print

_X: Floats = np.linspace(-1200.0, 1200.0, 4801)


def _edge(sigma: float, apart: float) -> tuple[float, float]:
    """Where the edge of a dark line passes 60 % of its depth, µm outwards of its middle, and its 10 to 90 %
    distance.
    """
    dark = 0.5 * (ndtr(-(_X - apart / 2) / sigma) + ndtr(-(_X + apart / 2) / sigma))
    rising = dark[::-1]
    at = [float(np.interp(level, rising, _X[::-1])) for level in (0.6, 0.1, 0.9)]
    return at[0], abs(at[1] - at[2])


def line_attributes(rng: np.random.Generator, made: Print, glass: Flatbed) -> dict[str, Attribute]:
    """Black lines in both directions, as a 600 ppi scan shows them, and what areas show."""
    grain = made.grain
    found: dict[str, Attribute] = {}
    widths: dict[str, float] = {}
    spread = float(rng.normal(1.0, 0.06)) * grain.spread_um
    for direction in ("horizontal", "vertical"):
        own = glass.blur_um * (1.0 if direction == "vertical" else float(rng.uniform(0.95, 1.2)))
        sigma = float(np.hypot(grain.blur_um, own))
        at_60, blurriness = _edge(sigma, made.doubled_um if direction == "vertical" else 0.0)
        gain = spread + 2.0 * at_60 + float(rng.normal(0.0, 3.0))
        blurriness *= float(np.exp(rng.normal(0.0, 0.02)))
        widths[direction] = blurriness
        ragged = float(grain.ragged_um * np.exp(rng.normal(0.0, 0.1)))
        unknown = 2.0 * 0.2533 * sigma / np.sqrt(3.0)
        found |= {
            f"line_width_{direction}": _um(1000.0 * STATED_MM + gain, float(np.hypot(4.0, unknown))),
            f"line_gain_{direction}": _um(gain, float(np.hypot(4.0, unknown))),
            f"line_blurriness_{direction}": _um(blurriness, float(rng.uniform(1.5, 5.0))),
            f"line_raggedness_{direction}": _um(ragged, 0.12 * ragged),
            f"line_feathering_{direction}": _um(1.75 * ragged, 0.2 * ragged),
        }
    least = min(widths.values())
    for direction, width in widths.items():
        sd = max(
            5.0, abs(apart_um(least / TEN_TO_NINETY, width + 4.0) - apart_um(least / TEN_TO_NINETY, width))
        )
        found[f"doubling_{direction}"] = _um(apart_um(least / TEN_TO_NINETY, width), sd)
    return found | _areas(rng, grain, glass)


def _areas(rng: np.random.Generator, grain: Grain, glass: Flatbed) -> dict[str, Attribute]:
    noise = 40.0 * glass.noise
    found: dict[str, Attribute] = {}
    for name, share, count in (("paper", 0.15, 12), ("mid", 1.0, 30), ("solid", 0.8, 40)):
        fine = float(np.hypot(share * grain.grain, noise) * np.exp(rng.normal(0.0, 0.06)))
        coarse = float(
            np.hypot(share * grain.mottle, noise / 12.0) * np.exp(rng.normal(0.0, 0.5 / np.sqrt(count)))
        )
        found[f"graininess_{name}"] = Attribute(value=fine, unit="L*", sd=0.06 * fine)
        found[f"mottle_{name}"] = Attribute(value=coarse, unit="L*", sd=coarse / float(np.sqrt(2.0 * count)))
    return found


def _um(value: float, sd: float) -> Attribute:
    return Attribute(value=value, unit="µm", sd=sd)


def placement(rng: np.random.Generator, made: Print, sheet: SheetPlan) -> Placement:
    """Where the print fell, by its marks: feeding alone is off by a thousandth or so."""
    return Placement(
        scale_x=made.scale[0] * (1.0 + float(rng.normal(0.0, 0.0006))),
        scale_y=made.scale[1] * (1.0 + float(rng.normal(0.0, 0.0010))),
        rotation_deg=float(rng.normal(0.0, 0.25)),
        skew_deg=float(rng.normal(0.0, 0.03)),
        offset_mm=(float(rng.normal(0.0, 0.5)), float(rng.normal(0.0, 0.5))),
        residual_um=float(rng.uniform(12.0, 60.0)),
        marks_found=len(sheet.marks),
    )
