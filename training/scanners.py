"""A scanner for patches and lines, in figures only: what a flatbed would make of them, without any image.

It has a tone error, cross-talk between its channels, noise, a drift from sheet to sheet, and what is left of a tilt
(a few thousandths of a neighbouring patch's light in each mean). It has no image: what a scan's
pixels do is left to the reading's own tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.special import erf

from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.press.scanner.scanner_profile import SCANNER_RGB
from tackside.records import Attribute

_SURPLUS_CREEP, _SURPLUS_BLOTCH = 2.5, 3.0  # as the press has them


@dataclass(frozen=True)
class PatchScanner:
    """``tone``: exponent on light; ``cross_talk``: share of the other channels; ``drift``: sd from sheet to sheet."""

    name: str
    tone: float
    cross_talk: Floats
    drift: float
    tilt: float
    noise: float
    blur_um: float
    shared: float

    def read(self, xyz: Floats, rng: np.random.Generator) -> Floats:
        """CIELAB (n, 3) that the scanner's file says of patches that are XYZ (n, 3)."""
        # The same sheet has the same neighbours each time; how much of their light strays in, the tilt decides.
        neighbours = xyz[np.random.default_rng(len(xyz)).permutation(len(xyz))]
        mixed = xyz + self.tilt * rng.random((len(xyz), 1)) * (neighbours - xyz)
        light = np.clip(mixed @ SCANNER_RGB.from_xyz_d50.T @ self.cross_talk.T, 1e-6, None)
        tone = self.tone * (1 + self.drift * rng.standard_normal())
        gain = 1 + self.drift * rng.standard_normal(3)
        lab = xyz_to_lab((light**tone * gain) @ np.linalg.inv(SCANNER_RGB.from_xyz_d50).T)
        return np.asarray(lab + self.noise * rng.standard_normal(lab.shape))


def random_scanner(rng: np.random.Generator) -> PatchScanner:
    """An uncharacterised flatbed: errors of 3 to 6 ΔE00 on prints are commonly reported (common practice)."""
    talk = rng.uniform(0.0, 0.10, (3, 3))
    np.fill_diagonal(talk, 0.0)
    np.fill_diagonal(talk, 1.0 - talk.sum(axis=1))
    return PatchScanner(
        f"flatbed {rng.integers(1, 1000)}",
        tone=rng.uniform(0.92, 1.06),
        cross_talk=talk,
        drift=0.004,
        tilt=rng.uniform(0.0, 0.003),
        noise=rng.uniform(0.1, 0.4),
        blur_um=rng.uniform(20.0, 50.0),
        shared=3.0,
    )


def instrument() -> PatchScanner:
    """A spectrophotometer: repeats within a few tenths of a ΔE."""
    return PatchScanner("instrument", 1.0, np.eye(3), 0.001, 0.0, 0.1, 0.0, 0.5)


def line_attributes(
    stock: StockModel, printer: PrinterModel, blur_um: float, rng: np.random.Generator
) -> dict[str, Attribute]:
    """Gain and blurriness of a 0.5 mm line by ISO/IEC 24790's contours, from its exact profile, and doubling."""
    surplus = max(0.0, printer.ink - 1.0)
    spread = stock.spread_um * (1 + _SURPLUS_CREEP * surplus)
    sigma = sqrt(stock.feather_um**2 + blur_um**2)
    found = {}
    for direction, shift in (("horizontal", 0.0), ("vertical", 1000 * printer.misalignment_mm)):
        gain, blurriness = _line(250.0 + spread, sigma, shift)
        noise = rng.standard_normal(2)
        found[f"line_gain_{direction}"] = Attribute(value=gain - 500 + 5 * noise[0], unit="µm", sd=5.0)
        found[f"line_blurriness_{direction}"] = Attribute(value=blurriness + 8 * noise[1], unit="µm", sd=8.0)
    doubled = abs(1000 * printer.misalignment_mm + 14 * rng.standard_normal())
    found["doubling_vertical"] = Attribute(value=doubled, unit="µm", sd=14.0)
    mottle = stock.mottle * (1 + _SURPLUS_BLOTCH * surplus) * np.exp(0.2 * rng.standard_normal())
    found["mottle_mid"] = Attribute(value=float(np.hypot(mottle, 0.1)), unit="L*", sd=0.1)
    return found


def _line(half_um: float, sigma_um: float, shift_um: float) -> tuple[float, float]:
    """Width at R60 and the distance between the 10 % and 90 % contours, of one line doubled by ``shift_um``."""
    place = np.arange(0.0, 1200.0, 2.0)
    dark = np.zeros_like(place)
    for centre in (-shift_um / 2, shift_um / 2):
        for sign, edge in ((-1, centre - half_um), (1, centre + half_um)):
            dark += sign * 0.25 * (1 + erf((edge - place) / (sigma_um * sqrt(2))))
    dark /= dark.max()
    at = {level: float(np.interp(-level, -dark, place)) for level in (0.1, 0.6, 0.9)}
    return 2 * at[0.6], at[0.1] - at[0.9]
