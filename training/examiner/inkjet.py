"""Inks and cards from spectra: dots mixed after Demichel, reflectance after Clapper and Yule or after Yule and Nielsen.

Sources: M. E. Demichel, Procédé 26, 1924 (areas of overlapping dots); F. R. Clapper and J. A. C. Yule, "The effect
of multiple internal reflections on the densities of half-tone prints on paper", Journal of the Optical Society of
America 43, 1953; J. A. C. Yule and W. J. Nielsen, "The penetration of light into paper and its effect on halftone
reproduction", TAGA Proceedings 1951; J. A. S. Viggiano, "Modeling the color of multi-colored halftones", TAGA
Proceedings 1990 (the latter band by band). Ink spectra are invented: absorption bands where such inks absorb, widths
and impurities drawn.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tackside.colour.spaces import Floats
from training.examiner.cards import Grain
from training.examiner.spectra import BANDS, WAVELENGTHS, to_xyz

# Internal reflection of diffuse light at a film of index 1.5 (D. B. Judd, 1942; the value from memory).
INSIDE = 0.596


@dataclass(frozen=True, eq=False)
class Inks:
    """``names`` of the inks, ``density`` (k, 31): decadic absorbance of one pass through a full film of each."""

    names: tuple[str, ...]
    density: Floats


def draw_inks(rng: np.random.Generator, names: tuple[str, ...]) -> Inks:
    """Inks of these names: c, m, y, k; lc, lm, lk (thinned); r, g, b (orange red, green, violet blue)."""
    full = {name: _absorption(name, rng) for name in ("c", "m", "y", "k", "r", "g", "b")}
    thin = {name: float(rng.uniform(0.24, 0.38)) for name in ("c", "m", "k")}
    curves = [full[name] if len(name) == 1 else thin[name[1]] * full[name[1]] for name in names]
    return Inks(names, np.array(curves))


def _band(at: float, width_left: float, width_right: float) -> Floats:
    off = WAVELENGTHS - at
    return np.asarray(np.exp(-0.5 * (off / np.where(off < 0, width_left, width_right)) ** 2))


def _absorption(name: str, rng: np.random.Generator) -> Floats:
    def u(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    match name:
        case "c":
            return u(0.85, 1.2) * (
                _band(u(628, 662), u(52, 66), u(60, 90)) + u(0.04, 0.12) * _band(u(400, 425), 40, 35)
            ) + u(0.015, 0.05)
        case "m":
            curve = _band(u(536, 560), u(38, 52), u(22, 34)) + u(0.15, 0.4) * _band(u(500, 520), 30, 20)
            return u(0.85, 1.2) * (curve + u(0.08, 0.24) * _band(u(400, 425), 40, 50)) + u(0.008, 0.03)
        case "y":
            fall = 1.0 / (1.0 + np.exp((WAVELENGTHS - u(482, 500)) / u(9, 16)))
            return u(0.8, 1.15) * fall * (1.0 - u(0.0, 0.25) * _band(400, 10, u(25, 45))) + u(0.004, 0.015)
        case "k":
            slope = u(-0.15, 0.15) * (WAVELENGTHS - 550.0) / 150.0
            return u(1.05, 1.5) * (1.0 + slope)
        case "r":
            return u(0.8, 1.1) / (1.0 + np.exp((WAVELENGTHS - u(560, 585)) / u(8, 14))) + u(0.005, 0.02)
        case "g":
            return (
                u(0.8, 1.1) * (_band(u(425, 445), 60, u(28, 40)) + _band(u(625, 650), u(45, 60), 70)) + 0.02
            )
        case _:
            return u(0.8, 1.1) * _band(u(575, 600), u(55, 70), u(55, 75)) + u(0.01, 0.04)


@dataclass(frozen=True, eq=False)
class InkjetCard:
    """One face of one card under these inks.

    ``paper`` (31,): reflectance of the bare face. ``surface``: light that the face throws back before it meets ink,
    into the instrument; ``holds``: share of an ink's density that stays on top; ``gain`` (k,): growth of a
    half-covered area. ``nielsen``: None for Clapper and Yule's model, else Yule and Nielsen's n.
    """

    name: str
    is_coated: bool
    base: str
    grain: Grain
    inks: Inks
    paper: Floats
    surface: float
    holds: float
    gain: Floats
    nielsen: float | None
    full: float = 1.0

    def spectra(self, inks: Floats) -> Floats:
        laid = np.asarray(inks, dtype=float) * self.full
        area = np.clip(laid, 0.0, 1.0)
        area = np.clip(area + 4.0 * self.gain * area * (1.0 - area), 0.0, 1.0)
        return np.concatenate(
            [self._reflected(area[i : i + 4096], laid[i : i + 4096]) for i in range(0, len(area), 4096)]
        )

    def _reflected(self, area: Floats, laid: Floats) -> Floats:
        weights, passes = np.ones((len(area), 1)), np.zeros((1, BANDS))
        for ink in range(area.shape[1]):
            share = area[:, ink, None]
            weights = np.concatenate([weights * (1.0 - share), weights * share], axis=1)
            passes = np.concatenate([passes, passes + self.holds * self.inks.density[ink]])
        # What was laid beyond a full film thickens it, by less than in proportion.
        thicker = 1.0 + 0.4 * np.maximum(laid - 1.0, 0.0).mean(axis=1, keepdims=True) * np.sqrt(laid.shape[1])
        once = 10.0**-passes
        inner = self._inner_paper()
        if self.nielsen is None:
            through = weights @ once
            twice = weights @ once**2
            inked = (1 - INSIDE) * inner * through**2 / (1.0 - INSIDE * inner * twice)
        else:
            inked = (
                weights
                @ ((1 - INSIDE) * inner * once**2 / (1.0 - INSIDE * inner * once**2)) ** (1 / self.nielsen)
            ) ** self.nielsen
        bare = (1 - INSIDE) * inner / (1.0 - INSIDE * inner)
        inked = bare * np.maximum(inked / bare, 1e-5) ** thicker
        return np.asarray(self.surface + (1.0 - self.surface) * inked)

    def _inner_paper(self) -> Floats:
        """Reflectance of the paper's body under the film, so that the bare face shows ``paper``."""
        shown = np.maximum(self.paper - self.surface, 0.01) / (1.0 - self.surface)
        return np.asarray(shown / (1.0 - INSIDE + INSIDE * shown))

    def xyz(self, inks: Floats) -> Floats:
        return to_xyz(self.spectra(inks))

    def another(self, rng: np.random.Generator, size: float) -> InkjetCard:
        tint = 1.0 + size * (rng.normal(0.0, 0.006) + rng.normal(0.0, 0.006) * (WAVELENGTHS - 550.0) / 150.0)
        return replace(
            self,
            paper=np.clip(self.paper * tint, 0.3, 1.1),
            gain=self.gain + size * rng.normal(0.0, 0.008, len(self.gain)),
            full=self.full * float(np.exp(size * rng.normal(0.0, 0.012))),
        )


def paper_spectrum(rng: np.random.Generator, white: tuple[float, float]) -> Floats:
    """An invented card's reflectance: level within ``white``, a little warm, and some brightener at 440 nm."""
    level, warm, bright = rng.uniform(*white), rng.uniform(0.0, 0.06), rng.uniform(0.0, 0.09)
    fall = 1.0 / (1.0 + np.exp((WAVELENGTHS - 415.0) / 9.0))
    body = level * (1.0 - warm * np.clip((600.0 - WAVELENGTHS) / 200.0, 0.0, 1.0)) * (1.0 - 0.12 * fall)
    return np.asarray(np.clip(body + bright * _band(442.0, 16.0, 34.0), 0.3, 1.08))
