"""Light on a table: daylight of any colour temperature, lamps, and how each falls off over the table.

Spectra: CIE 15 daylight (CIE D-series), Planckian radiators and the CIE's LED and fluorescent illuminants, all by
colour-science. How they mix and fall off is this project's own estimate.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tackside.colour.spaces import Floats
from training.examiner.spectra import WAVELENGTHS
from training.phone.library import colour

LAMPS = ("LED-B1", "LED-B2", "LED-B3", "FL2", "FL11")


@dataclass(frozen=True, eq=False)
class Light:
    """``spectrum`` (31,), green about 1; ``at`` (2,) the side that it comes from, and ``falloff`` (0 to 1): by how much
    less of it arrives at the far side of the picture; ``bow`` bends that."""

    spectrum: Floats
    at: Floats
    falloff: float
    bow: float

    def over(self, table: Floats) -> Floats:
        """Relative amount (...,) at places (..., 2) on the table, -1 to 1 over the picture."""
        way = 0.5 - 0.5 * (table @ self.at)  # 0 on its side, 1 on the far one
        return np.asarray(1.0 - self.falloff * np.clip(way + self.bow * way * (1.0 - way), -0.2, 1.3))


@lru_cache(maxsize=256)
def daylight(kelvin: int) -> tuple[float, ...]:
    spectrum = colour.sd_CIE_illuminant_D_series(colour.temperature.CCT_to_xy_CIE_D(kelvin))
    return _sampled(spectrum.wavelengths, spectrum.values)


@lru_cache(maxsize=256)
def radiator(kelvin: int) -> tuple[float, ...]:
    spectrum = colour.sd_blackbody(kelvin, colour.SpectralShape(400, 700, 10))
    return _sampled(spectrum.wavelengths, spectrum.values)


@lru_cache(maxsize=16)
def lamp(name: str) -> tuple[float, ...]:
    spectrum = colour.SDS_ILLUMINANTS[name]
    return _sampled(spectrum.wavelengths, spectrum.values)


def _sampled(wavelengths: Floats, values: Floats) -> tuple[float, ...]:
    """In 31 bands of 10 nm, each the mean over its width; 1 on average from 520 to 580 nm."""
    fine = np.arange(395.0, 706.0)
    bands = np.interp(fine, wavelengths, values)
    mean = np.array([bands[int(at - 395) : int(at - 395) + 10].mean() for at in WAVELENGTHS - 5.0])
    middle = (WAVELENGTHS >= 520) & (WAVELENGTHS <= 580)
    return tuple(float(each) for each in mean / mean[middle].mean())


def draw_lights(rng: np.random.Generator, falloff: float) -> tuple[Light, Light]:
    """A window, and what else lights the room: sky from the other side, walls, or a lamp. ``falloff``: of the window,
    at most."""
    turn = rng.uniform(0.0, 2.0 * np.pi)
    side = np.array([np.cos(turn), np.sin(turn)])
    window = Light(
        np.array(daylight(100 * int(rng.integers(47, 80)))), side, float(rng.uniform(0.0, falloff)),
        float(rng.uniform(-0.4, 0.4)),
    )  # fmt: skip
    kind = rng.random()
    if kind < 0.4:  # walls and sky
        other, share = np.array(daylight(100 * int(rng.integers(40, 120)))), rng.uniform(0.0, 0.3)
    elif kind < 0.75:  # a warm lamp somewhere in the room
        other, share = np.array(radiator(100 * int(rng.integers(25, 34)))), rng.uniform(0.0, 0.3)
    else:
        other, share = np.array(lamp(LAMPS[int(rng.integers(len(LAMPS)))])), rng.uniform(0.0, 0.3)
    away = turn + rng.normal(np.pi, 0.8)
    second = Light(
        other * share, np.array([np.cos(away), np.sin(away)]), float(rng.uniform(0.0, 0.6)),
        float(rng.uniform(-0.4, 0.4)),
    )  # fmt: skip
    return window, second
