"""From the colours that a file asks for to the numbers that a printer is sent: intents, gamut mapping, a taste.

Colours are sought among the device's own, by a weighted distance of lightness, chroma and hue; the weights, the knee of
a perceptual rendering and a driver's liking for contrast and strong colours are drawn at random.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np

from tackside.colour.spaces import RGB_SPACES, Floats, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.records.sheet_plan import Space
from training.teacher.device import CENTRES, Card, Device, nodes, relative

Intent = Literal["perceptual", "relative", "saturation", "absolute"]
INTENTS: tuple[Intent, ...] = ("perceptual", "relative", "saturation", "absolute")
_WHITE = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
_HUES = 36
# Steps round a node, and their sizes in spacings of the lattice, one after the other.
_AROUND = np.stack(np.meshgrid(*[np.arange(-1, 2)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
_FINER = (0.5, 0.25, 0.1)


@dataclass(frozen=True)
class Taste:
    """How one rendering is made. ``weights``: of lightness, chroma and hue in the search. ``knee``: up to which share
    of the reach chroma stays as asked. ``even``: share of an even lightness scale, the rest being scaled light.
    ``contrast``, ``gain``, ``turn_deg``: of a driver that pleases; 0, 1 and 0 for one that is true."""

    weights: tuple[float, float, float]
    knee: float
    even: float
    contrast: float = 0.0
    gain: float = 1.0
    turn_deg: tuple[float, ...] = (0.0,) * 6


@dataclass(frozen=True, eq=False)
class Profile:
    """What is known of ``device`` on the ``card`` that it was profiled on, with its way of rendering.

    ``rough`` (24, 3): what its tables are off, in numbers. ``kept``: what came of numbers that nobody writes to, as are
    those of SAMPLED_AT, by what they are."""

    device: Device
    card: Card
    taste: Taste
    rough: Floats
    kept: dict[tuple[bytes, Space, Intent, bool], Floats] = field(default_factory=dict)

    @cached_property
    def lattice(self) -> Floats:
        return self.device.lab(nodes(), self.card)

    @cached_property
    def paper(self) -> Floats:
        return self.device.lab(np.ones((1, 3)), self.card)[0]

    @cached_property
    def shown(self) -> Floats:
        return relative(self.lattice, self.paper)

    @cached_property
    def black(self) -> float:
        """Light of the darkest, beside paper."""
        return float(lab_to_xyz(self.shown[self.shown[:, 0].argmin()])[1])

    @cached_property
    def reach(self) -> Floats:
        return reach(self.shown)

    def numbers(self, asked: Floats, space: Space, intent: Intent, compensated: bool) -> Floats:
        """Device numbers (n, 3) for file numbers (n, 3) of ``space``."""
        if asked.flags.writeable:
            return self._converted(asked, space, intent, compensated)
        way = asked.tobytes(), space, intent, compensated
        if way not in self.kept:
            self.kept[way] = self._converted(asked, space, intent, compensated)
        return self.kept[way]

    def _converted(self, asked: Floats, space: Space, intent: Intent, compensated: bool) -> Floats:
        source = rgb_to_lab(np.clip(asked, 0.0, 1.0), RGB_SPACES[space])
        if intent == "absolute":
            return self._roughly(self._nearest(source, self.lattice, absolute=True))
        if intent == "relative":
            aim = scaled(source, self.black) if compensated else source
        else:
            aim = self._pressed(source, space, 1.25 if intent == "saturation" else 1.0)
        return self._roughly(self._nearest(aim, self.shown, absolute=False))

    def _pressed(self, source: Floats, space: Space, more: float) -> Floats:
        """Perceptual: lightness pressed between paper and black, chroma up to a knee and pressed beyond."""
        taste = self.taste
        light = scaled(source, self.black)[:, 0]
        dark = 116.0 * np.cbrt(self.black) - 16.0 if self.black > 0.008856 else 903.3 * self.black
        even = dark + source[:, 0] * (100.0 - dark) / 100.0
        lightness = taste.even * even + (1.0 - taste.even) * light
        place = (lightness - dark) / (100.0 - dark)
        bent = place + taste.contrast * place * (1.0 - place) * (2.0 * place - 1.0)
        lightness = dark + bent * (100.0 - dark)
        chroma, hue = np.hypot(source[:, 1], source[:, 2]), np.arctan2(source[:, 2], source[:, 1])
        sector = (np.degrees(hue) % 360.0) / 360.0
        has, wants = (_round(one, sector) for one in (self.reach, _source_reach(space)))
        share = np.minimum(has / wants, 1.0)
        part = np.minimum(chroma / wants, 1.0) * taste.gain * more
        knee = taste.knee * share
        slope = np.where(knee < 1.0, (share - knee) / np.maximum(1.0 - knee, 1e-6), 0.0)
        pressed = np.where(part > knee, knee + slope * (part - knee), part) * wants
        turn = np.radians(_round(np.array(taste.turn_deg), sector))
        return np.column_stack([lightness, pressed * np.cos(hue + turn), pressed * np.sin(hue + turn)])

    def _nearest(self, aim: Floats, among: Floats, *, absolute: bool) -> Floats:
        first = _off(aim[:, None], among[None], self.taste.weights).argmin(axis=1)
        best = nodes()[first]
        spacing = 1.0 / (round(len(nodes()) ** (1 / 3)) - 1)
        for finer in _FINER:
            tried = np.clip(best[:, None] + finer * spacing * _AROUND, 0.0, 1.0)
            lab = self.device.lab(tried.reshape(-1, 3), self.card)
            lab = (lab if absolute else relative(lab, self.paper)).reshape(len(aim), -1, 3)
            place = _off(aim[:, None], lab, self.taste.weights).argmin(axis=1)
            best = tried[np.arange(len(aim)), place]
        return np.asarray(best)

    def _roughly(self, numbers: Floats) -> Floats:
        far = ((numbers[:, None] - CENTRES) ** 2).sum(axis=-1)
        bumps = np.exp(-0.5 * far / 0.25**2)
        middle = numbers.mean(axis=1, keepdims=True)
        return np.clip(numbers + 4.0 * middle * (1.0 - middle) * (bumps @ self.rough), 0.0, 1.0)


def scaled(lab: Floats, black: float) -> Floats:
    """Black point compensation (ISO 18619): light scaled so that none becomes ``black`` and white stays."""
    return np.asarray(xyz_to_lab(lab_to_xyz(lab) * (1.0 - black) + black * _WHITE))


def _off(aim: Floats, lab: Floats, weights: tuple[float, float, float]) -> Floats:
    """Squared distances, lightness, chroma and hue weighed apart (ΔH² = Δa² + Δb² − ΔC²)."""
    between = aim - lab
    chroma = np.hypot(aim[..., 1], aim[..., 2]) - np.hypot(lab[..., 1], lab[..., 2])
    hue = between[..., 1] ** 2 + between[..., 2] ** 2 - chroma**2
    light, full, turned = weights
    return np.asarray((light * between[..., 0]) ** 2 + (full * chroma) ** 2 + turned**2 * hue)


def reach(lab: Floats) -> Floats:
    """Greatest chroma (36,) by hue, of colours (n, 3), its neighbours' where a hue has none."""
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    at = (np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360.0 // (360.0 / _HUES)).astype(int)
    found = np.zeros(_HUES)
    np.maximum.at(found, at, chroma)
    return np.asarray(np.maximum.reduce([found, 0.9 * np.roll(found, 1), 0.9 * np.roll(found, -1)]))


@lru_cache(maxsize=2)
def _source_reach(space: Space) -> Floats:
    return reach(rgb_to_lab(nodes(), RGB_SPACES[space]))


def _round(values: Floats, sector: Floats) -> Floats:
    """Values (k,) set evenly round the circle, at ``sector`` (n,), 0 to 1."""
    place = np.arange(len(values) + 1) / len(values)
    return np.interp(sector, place, [*values, values[0]])


def true_taste(rng: np.random.Generator) -> Taste:
    """How a profile renders: one of many metrics, knees and lightness scales."""
    kind = rng.integers(4)
    weights = (
        (1.0, 1.0, 1.0),
        (1.0, 0.5, 3.0),
        (3.0, 0.7, 1.5),
        tuple(np.exp(rng.uniform(-0.7, 1.1, 3)).tolist()),
    )[kind]
    gain = float(rng.uniform(0.92, 1.08))
    return Taste(weights, float(rng.uniform(0.0, 0.95)), float(rng.random()), rng.normal(0, 0.15), gain)


def driver_taste(rng: np.random.Generator) -> Taste:
    """How a driver renders that manages colour by itself, natural or vivid."""
    vivid = rng.random()
    return Taste(
        tuple(np.exp(rng.uniform(-0.7, 1.1, 3)).tolist()),
        float(rng.uniform(0.0, 0.95)),
        float(rng.random()),
        float(rng.normal(0.5 * vivid, 0.2)),
        float(rng.uniform(0.85, 1.0 + 0.35 * vivid)),
        tuple(rng.normal(0.0, 2.0 + 4.0 * vivid, 6).tolist()),
    )
