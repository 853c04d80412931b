"""Instruments and flatbeds of the examiner's own, by spectral sensitivities, light and stray light: figures of a sheet.

A flatbed is three smooth curves under a lamp (R. W. G. Hunt and M. R. Pointer, Measuring Colour, 4th edition 2011,
chapter 5, on what such filters miss), stray light that depends on what lies around (integrating cavity effect: P. A.
Jansson and R. P. Breault, "Correcting color-measurement error caused by stray light in image scanners", Color
Imaging Conference 1998), a matrix from its numbers to XYZ as scanner programs make it, and bytes. Amounts are this
project's own estimates.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import SRGB, Floats, rgb_to_xyz_d50, xyz_d50_to_rgb, xyz_to_lab
from tackside.messages.message import Message
from tackside.records import Patch, PatchReading, Uncertainty
from tackside.records.reading import Flaw
from training.examiner.inkjet import draw_inks
from training.examiner.spectra import WAVELENGTHS, WEIGHTS, to_xyz

# What the reader states of a scanner that nobody has characterised, with a profile in the file and without.
PROFILED_DE00, ASSUMED_DE00, INSTRUMENT_DE00 = 3.0, 5.0, 0.5
SPOTS = 9  # independent places in a patch, over which a mean is taken


@dataclass(frozen=True, eq=False)
class Flatbed:
    """``curves`` (31, 3): sensitivity times lamp, each summing to 1; ``matrix`` (3, 3): its linear numbers to XYZ.

    ``stray``: share of light from around; ``reach_mm``: how far around; ``tilt`` (2,): change of light from edge to
    edge; ``floor``: light where there is none; ``noise``: of one pixel, share of white; ``gamma``: of the file's
    numbers; ``assumed``: sRGB without a profile, whose gamut clips.
    """

    name: str
    curves: Floats
    matrix: Floats
    stray: float
    reach_mm: float
    tilt: Floats
    floor: float
    noise: float
    gamma: float
    bits: int
    assumed: bool
    blur_um: float

    @property
    def uncertainty(self) -> Uncertainty:
        settings = f"600 ppi, {self.bits} bits, {'sRGB assumed' if self.assumed else self.name}"
        return Uncertainty(
            de00=ASSUMED_DE00 if self.assumed else PROFILED_DE00,
            basis=Message(f"uncertainty.scan-{'no-profile' if self.assumed else 'profile'}"),
            comparable_with=f"scan | device {self.name} | {settings}",
        )

    def numbers(self, spectra: Floats) -> Floats:
        """Linear numbers (n, 3), 1 for the perfect diffuser, without anything from around."""
        return np.asarray(spectra @ self.curves)

    def coded(self, linear: Floats) -> Floats:
        """The file's numbers (..., 3), 0 to 1, clipped and in steps of its bits."""
        if self.assumed:
            file = xyz_d50_to_rgb(np.asarray(linear @ self.matrix.T), SRGB)
        else:
            file = np.clip(linear, 0.0, 1.0) ** (1.0 / self.gamma)
        top = 2.0**self.bits - 1.0
        return np.asarray(np.rint(np.clip(file, 0.0, 1.0) * top) / top)

    def lab(self, file: Floats) -> Floats:
        """What the file's numbers say, by its profile or as sRGB."""
        if self.assumed:
            return xyz_to_lab(rgb_to_xyz_d50(file, SRGB))
        return xyz_to_lab(np.asarray(file**self.gamma @ self.matrix.T))


def draw_flatbed(rng: np.random.Generator, number: int) -> Flatbed:
    """A scanner: LED or fluorescent lamp, curves somewhere near three broad filters."""
    lamp = _led(rng) if rng.random() < 0.5 else _fluorescent(rng)
    filters = [
        np.exp(-0.5 * np.abs((WAVELENGTHS - at) / width) ** power)
        for at, width, power in zip(
            rng.normal((610, 538, 456), (9, 8, 7)),
            rng.uniform(24, 42, 3),
            rng.uniform(1.8, 3.5, 3),
            strict=True,
        )
    ]
    curves = np.stack(filters, axis=-1) * lamp[:, None] + 1e-4 * lamp[:, None]
    curves /= curves.sum(axis=0)
    target = _target(rng)
    # The matrix of least squares in cube-root light, by three passes of weights; white stays white.
    wanted, seen = to_xyz(target), target @ curves
    weight: Floats = np.ones(len(target))
    matrix: Floats = np.eye(3)
    for _ in range(3):
        w = weight[:, None]
        matrix = np.asarray(np.linalg.lstsq(seen * w, wanted * w, rcond=None)[0].T, dtype=np.float64)
        weight = 1.0 / np.maximum(wanted[:, 1], 0.02) ** (2.0 / 3.0)
    matrix = matrix * (WEIGHTS.sum(axis=0) / (matrix @ np.ones(3)))[:, None]
    assumed = bool(rng.random() < 0.6)
    return Flatbed(
        name=f"glass {number}",
        curves=curves,
        matrix=matrix,
        stray=float(rng.uniform(0.002, 0.035)),
        reach_mm=float(rng.uniform(4.0, 18.0)),
        tilt=rng.normal(0.0, 0.012, 2),
        floor=float(rng.uniform(0.0, 0.004)),
        noise=float(rng.uniform(0.002, 0.008)),
        gamma=float(rng.choice([1.0, 1.8, 2.2])),
        bits=16 if not assumed and rng.random() < 0.6 else 8,
        assumed=assumed,
        blur_um=float(rng.uniform(16.0, 34.0)),
    )


def _led(rng: np.random.Generator) -> Floats:
    blue = np.exp(-0.5 * ((WAVELENGTHS - rng.uniform(445, 460)) / 12.0) ** 2)
    yellow = np.exp(-0.5 * ((WAVELENGTHS - rng.uniform(545, 575)) / rng.uniform(45, 60)) ** 2)
    return np.asarray(blue + rng.uniform(0.5, 0.9) * yellow + 0.01)


def _fluorescent(rng: np.random.Generator) -> Floats:
    lines = ((435, 0.5), (488, 0.3), (545, 1.0), (587, 0.35), (611, 0.9), (632, 0.2))
    light = sum(
        size * rng.uniform(0.8, 1.2) * np.exp(-0.5 * ((WAVELENGTHS - at) / 7.0) ** 2) for at, size in lines
    )
    return np.asarray(light + rng.uniform(0.05, 0.15))


def _target(rng: np.random.Generator) -> Floats:
    """A photographic target: three dyes on white, many mixtures, and a grey scale."""
    dyes = draw_inks(rng, ("c", "m", "y")).density
    mixtures = np.concatenate([rng.random((160, 3)) * 1.6, np.linspace(0, 1.6, 22)[:, None] * np.ones(3)])
    return np.asarray(0.88 * 10.0 ** -(mixtures @ dyes) + 0.002)


def read_by_flatbed(
    rng: np.random.Generator,
    glass: Flatbed,
    spectra: Floats,
    patches: tuple[Patch, ...],
    uneven_l: float,
    size_mm: tuple[float, float],
) -> tuple[tuple[PatchReading, ...], tuple[Flaw, ...]]:
    """Patches as the reader gives them, from one sheet on the glass; ``uneven_l``: mottle and grain within a patch, L*.

    Each sheet lies a little differently under a lamp that drifts.
    """
    linear = glass.numbers(spectra)
    white = linear[np.argmax(linear.sum(axis=1))]
    centres = np.array([patch.box_mm.centre for patch in patches])
    areas = np.array([patch.box_mm.w * patch.box_mm.h for patch in patches])
    apart = np.linalg.norm(centres[:, None] - centres[None], axis=-1)
    near = np.exp(-apart / glass.reach_mm) * areas[None] / (2.0 * np.pi * glass.reach_mm**2)
    near *= np.minimum(1.0, 0.85 / near.sum(axis=1, keepdims=True))
    around = near @ linear + (1.0 - near.sum(axis=1, keepdims=True)) * white
    seen = linear + glass.stray * (around - 0.6 * linear) + glass.floor
    seen *= 1.0 + (centres / np.array(size_mm) - 0.5) @ glass.tilt[:, None]
    seen *= 1.0 + rng.normal(0.0, 0.004) + rng.normal(0.0, 0.001, 3)
    seen += rng.normal(0.0, 1.0, seen.shape) * (glass.noise * np.sqrt(np.maximum(seen, 0.01))) / SPOTS
    # Bytes of single pixels are averaged over the patch, so that the steps all but vanish, yet what clips is lost.
    dither = rng.uniform(-0.5, 0.5, seen.shape) / (2.0**glass.bits - 1.0) / 8.0
    file = glass.coded(seen)
    lab = glass.lab(np.clip(file + dither, 0.0, 1.0))
    asked = np.array([patch.rgb for patch in patches])
    lost = ((file <= 0.0) | (file >= 1.0)).any(axis=1) & (np.abs(file - asked).max(axis=1) > 2.0 / 255.0)
    own = glass.noise * 40.0
    return (
        tuple(
            PatchReading(
                name=patch.name,
                rgb=patch.rgb,
                lab=_triple(row),
                sd=float(np.hypot(uneven_l, own) * rng.uniform(0.8, 1.25)),
            )
            for patch, row in zip(patches, lab, strict=True)
        ),
        (Flaw(code="scan.clipped", degree=0.5, weakens_only=True),) if lost.any() else (),
    )


@dataclass(frozen=True, eq=False)
class Spectrophotometer:
    """``stretch`` (3, 3) and ``shift`` (3,): what it repeats in CIELAB; ``noise``: ΔE*ab an axis of one reading."""

    name: str
    stretch: Floats
    shift: Floats
    noise: float

    @property
    def uncertainty(self) -> Uncertainty:
        return Uncertainty(
            de00=INSTRUMENT_DE00,
            basis=Message("uncertainty.instrument", de00=INSTRUMENT_DE00),
            comparable_with="colorimetric",
        )


def draw_spectrophotometer(rng: np.random.Generator, number: int) -> Spectrophotometer:
    return Spectrophotometer(
        f"instrument {number}",
        np.eye(3) + rng.normal(0.0, 0.004, (3, 3)),
        rng.normal(0.0, (0.15, 0.12, 0.18)),
        float(rng.uniform(0.06, 0.18)),
    )


def read_by_instrument(
    rng: np.random.Generator, meter: Spectrophotometer, xyz: Floats, patches: tuple[Patch, ...]
) -> tuple[PatchReading, ...]:
    lab = xyz_to_lab(xyz) @ meter.stretch.T + meter.shift
    lab = lab + meter.noise * rng.standard_normal(lab.shape)
    lab[:, 0] = np.clip(lab[:, 0], 0.0, 105.0)
    return tuple(
        PatchReading(name=patch.name, rgb=patch.rgb, lab=_triple(row))
        for patch, row in zip(patches, lab, strict=True)
    )


def _triple(row: Floats) -> tuple[float, float, float]:
    return float(row[0]), float(row[1]), float(row[2])
