"""From the numbers in a file to those that a printer takes, as an application or a driver leads them, well or
wrongly.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np

from tackside.colour.spaces import RGB_SPACES, Floats, rgb_to_lab
from tackside.profile.icc.working_space import SpaceName
from tackside.records.trial import Intent
from training.examiner.cms import converted
from training.examiner.engines import Engine
from training.examiner.mapping import Compression, Flavour, compressed
from training.examiner.profiles import Made
from training.examiner.solid import tetrahedral

OTHER: dict[SpaceName, SpaceName] = {"srgb": "adobe-rgb", "adobe-rgb": "srgb"}


@dataclass(frozen=True, eq=False)
class Driver:
    """A driver that manages colour by itself: its own rendering in a table of ``size``³ nodes over file numbers."""

    name: str
    made: Made
    compression: Compression
    flavour: Flavour
    size: int
    _tables: dict[SpaceName, Floats] = field(default_factory=dict)

    def numbers(self, rgb: Floats, space: SpaceName) -> Floats:
        """What the engine takes, of file numbers (n, 3) that it believes to be in ``space``."""
        if space not in self._tables:
            axis = np.linspace(0.0, 1.0, self.size)
            grid = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
            lab = rgb_to_lab(grid, RGB_SPACES[space])
            device = compressed(self.made.solid, lab, self.compression, self.flavour)
            self._tables[space] = device.reshape(self.size, self.size, self.size, 3)
        device = tetrahedral(self._tables[space], rgb)
        # A driver works in bytes, too.
        return np.rint(self.made.numbers(device) * 255.0) / 255.0


def draw_driver(rng: np.random.Generator, made: Made, name: Literal["natural", "vivid"]) -> Driver:
    """A driver's rendering; "natural" leaves most as it is, "vivid" lifts. Amounts: this project's own estimates."""
    lively = name == "vivid"
    turns = [
        (
            hue + float(rng.normal(0, 6)),
            18.0,
            float(rng.normal(0, 3 if lively else 1)),
            float(rng.uniform(1.0, 1.12)),
        )
        for hue in ((60.0, 135.0, 265.0) if lively else (60.0,))
    ]
    return Driver(
        name,
        made,
        Compression(
            float(rng.uniform(0.4, 0.85)), float(rng.uniform(1.2, 1.8)), float(rng.uniform(0.2, 1.0))
        ),
        Flavour(
            contrast=float(rng.uniform(0.08, 0.3) if lively else rng.uniform(0.0, 0.1)),
            chroma=float(rng.uniform(1.06, 1.22) if lively else rng.uniform(0.98, 1.05)),
            turns=tuple(turns),
        ),
        size=int(rng.choice([9, 11, 17])),
    )


Wrong = Literal["unmanaged", "managed-twice", "wide-read-as-narrow", "narrow-read-as-wide"]


@dataclass(frozen=True, eq=False)
class Route:
    """One way of printing: through ``profile`` by the application, or through the ``driver`` where that is given.

    ``wrong``: what is mistaken on the way. ``second``: the driver, or the intent with its compensation, that manages
    what was managed already. ``turned``: by how much a program has turned all hues of the file, radians.
    """

    engine: Engine
    made: Made
    intent: Intent
    compensated: bool
    driver: Driver | None = None
    wrong: Wrong | None = None
    second: Driver | None = None
    odd: Odd | None = None
    turned: float = 0.0

    @property
    def by_driver(self) -> bool:
        return self.driver is not None

    def numbers(self, rgb: Floats, space: SpaceName) -> Floats:
        """What the engine takes, 0 to 1, of file numbers (n, 3) written in ``space``."""
        if self.turned:
            rgb = hues_turned(rgb, self.turned)
        if self.wrong == "unmanaged":
            device = self.engine.as_numbers(rgb)
        else:
            read = OTHER[space] if self.wrong in ("wide-read-as-narrow", "narrow-read-as-wide") else space
            device = self._managed(rgb, read)
            if self.wrong == "managed-twice":
                seen = device if self.engine.takes == "rgb" else as_rgb(device)
                device = self._again(seen)
        return device if self.odd is None else self.odd.changed(device)

    def _managed(self, rgb: Floats, space: SpaceName) -> Floats:
        if self.driver is not None:
            return self.driver.numbers(rgb, space)
        return converted(rgb, space, self.made.profile, self.intent, self.compensated)

    def _again(self, rgb: Floats) -> Floats:
        if self.second is not None:
            return self.second.numbers(rgb, "srgb")
        return converted(rgb, "srgb", self.made.profile, self.intent, self.compensated)


def as_rgb(cmyk: Floats) -> Floats:
    """RGB of CMYK as programs write it without any profile: each ink and the black darken in turn."""
    return np.asarray((1.0 - cmyk[:, :3]) * (1.0 - cmyk[:, 3:]))


def hues_turned(rgb: Floats, angle: float) -> Floats:
    """Numbers (n, 3) whose hues a program has turned about the axis of greys by ``angle``, radians."""
    grey = rgb.mean(axis=1, keepdims=True)
    across = np.cross(np.full(3, 3.0**-0.5), rgb)
    return np.asarray(np.clip(grey + np.cos(angle) * (rgb - grey) + np.sin(angle) * across, 0.0, 1.0))


@dataclass(frozen=True, eq=False)
class Odd:
    """Something that no cause of the list describes, done to device numbers."""

    kind: Literal["exchanged", "solarised", "negative", "stepped"]
    order: tuple[int, int, int] = (0, 1, 2)
    strength: float = 1.0

    def changed(self, device: Floats) -> Floats:
        match self.kind:
            case "exchanged":
                out = device.copy()
                out[:, :3] = device[:, list(self.order)]
                return out
            case "solarised":
                folded = 0.5 - 0.5 * np.cos(2.0 * np.pi * self._bend * device)
                return np.asarray((1.0 - self.strength) * device + self.strength * folded)
            case "negative":
                return np.asarray((1.0 - self.strength) * device + self.strength * (1.0 - device))
            case _:
                levels = 2.0 + np.rint(2.0 * (1.0 - self.strength))
                return np.asarray(np.rint(device * levels) / levels)

    @cached_property
    def _bend(self) -> float:
        return 0.75 + 0.25 * self.strength
