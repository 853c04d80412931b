"""The ways from a file to paper, and what each fault does to them: colours laid down at the numbers of SAMPLED_AT."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from tackside.colour.spaces import RGB_SPACES, Floats, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.press.printer.driver import inks_on_stock, rgb_to_inks
from tackside.press.printer.printer_model import INKS, Ink, PrinterModel
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.classifier.features import SAMPLED_AT
from training.teacher.device import Card, Device, drawn_its_own_way, own_way, relative
from training.teacher.rendering import INTENTS, Intent, Profile, scaled

# Who converts colours: an application by a profile, the driver by its own, a driver that only evens out its greys, one
# that shows all colours alike a little duller, and nobody on purpose, as for a sheet of bare device numbers.
Kind = Literal["application", "driver", "evened", "toned", "device"]
OTHER: dict[Space, Space] = {"srgb": "adobe-rgb", "adobe-rgb": "srgb"}


@dataclass(frozen=True, eq=False)
class Way:
    """One way from the numbers of ``space`` to a printer. ``profile``: what an application converts by; ``driver``:
    what the driver does where it is told to manage."""

    kind: Kind
    space: Space
    device: Device
    profile: Profile
    driver: Profile
    intent: Intent
    compensated: bool
    tone: Tone


@dataclass(frozen=True)
class Tone:
    """How a driver that tones colours down shows them: ``hold``, share of chroma on a coated card, ``bare_hold`` on a
    bare one, ``even``: share of an even lightness scale, ``turn_deg`` (6,) by hue."""

    hold: float
    bare_hold: float
    even: float
    turn_deg: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Warp:
    """What nobody knows, done to the colours that were laid: hues turned by ``turn_deg``, light filtered by ``light``
    (3,) as far as there is ink, and moved smoothly by ``way`` (24, 3)."""

    turn_deg: float
    light: Floats
    way: Floats

    def of(self, lab: Floats, numbers: Floats) -> Floats:
        turn = np.radians(self.turn_deg)
        a, b = lab[:, 1].copy(), lab[:, 2].copy()
        lab = np.column_stack(
            [lab[:, 0], a * np.cos(turn) - b * np.sin(turn), a * np.sin(turn) + b * np.cos(turn)]
        )
        inked = 1.0 - numbers.min(axis=1, keepdims=True)
        lab = xyz_to_lab(lab_to_xyz(lab) * self.light**inked)
        return drawn_its_own_way(lab, numbers, self.way)


@dataclass(frozen=True)
class Damage:
    """What is wrong: a fault and all that is drawn of it. ``ink``: laid over meant; ``bend``, ``most``: of ink that is
    held back by its amount (``held_back``); ``gone``: missing inks, over ``part`` of the rows. What no cause of the
    list explains: ``numbers`` (n, 3) of the file, ``warp`` of the colours, or ``at_press``, a seed to move the numbers
    that the press is sent."""

    cause: Cause
    ink: float = 1.0
    gone: tuple[Ink, ...] = ()
    part: float = 1.0
    bend: float = 1.0
    most: float | None = None
    numbers: Floats | None = None
    at_press: int | None = None
    warp: Warp | None = None
    rough: int = 0
    power: tuple[float, float, float] | None = None


def draw_damage(cause: Cause, rng: np.random.Generator, at: Floats = SAMPLED_AT) -> Damage:
    """The fault at a degree of chance, to be laid at the numbers ``at`` (n, 3)."""
    if cause == "too-little-ink":
        chance = rng.random()
        if chance < 0.3:
            bend, most = float(rng.uniform(0.85, 1.4)), float(rng.uniform(1.4, 3.0))
            return Damage(cause, ink=float(rng.uniform(0.65, 1.0)), bend=bend, most=most)
        return Damage(cause, ink=float(rng.uniform(0.38, 0.96)), rough=int(chance < 0.5))
    if cause == "too-much-ink":
        return Damage(cause, ink=float(rng.uniform(1.04, 1.7)))
    if cause == "missing-ink":
        part = 1.0 if rng.random() < 0.65 else float(rng.uniform(0.4, 1.0))
        return Damage(cause, gone=(INKS[rng.integers(4)],), part=part)
    if cause == "unknown":
        chance = rng.random()
        if chance < 0.4:
            return Damage(cause, numbers=strange(at, rng))
        if chance < 0.6:
            return Damage(cause, at_press=int(rng.integers(2**32)))
        return Damage(cause, warp=warp(rng))
    if cause in ("managed-twice", "unmanaged") and rng.random() < 0.12:
        power = rng.uniform(1.25, 1.9) * rng.uniform(0.85, 1.2, 3)
        r, g, b = (1.0 / power if cause == "managed-twice" else power).tolist()
        return Damage(cause, power=(r, g, b))
    return Damage(cause, rough=int(rng.integers(6)))


def laid(way: Way, damage: Damage, card: Card, at: Floats = SAMPLED_AT) -> Floats:
    """CIELAB (n, 3) on ``card`` of the numbers ``at`` (n, 3), for which the damage was drawn."""
    lab = _laid(way, damage, card, at)
    return lab if damage.warp is None else damage.warp.of(lab, at)


def _laid(way: Way, damage: Damage, card: Card, at: Floats) -> Floats:
    asked = at if damage.numbers is None else damage.numbers
    space = OTHER[way.space] if "-read-as-" in damage.cause else way.space
    if damage.power is not None:
        asked = at ** np.array(damage.power)
    elif damage.cause in ("managed-twice", "unmanaged") and way.kind == "evened":
        managed: Literal["twice", "nobody"] = "twice" if damage.cause == "managed-twice" else "nobody"
        return _evened(asked, space, way, card, damage, managed)
    elif damage.cause == "unmanaged":
        return _inked(way.device, asked, card, damage)
    elif damage.cause == "managed-twice":
        return _inked(way.device, _twice(asked, way, damage.rough), card, damage)
    if way.kind == "evened":
        return _evened(asked, space, way, card, damage)
    if way.kind == "toned":
        return _toned(asked, space, way, card, damage)
    return _inked(way.device, _sent(asked, space, way), card, damage)


def _sent(asked: Floats, space: Space, way: Way) -> Floats:
    if way.kind == "application":
        return way.profile.numbers(asked, space, way.intent, way.compensated)
    if way.kind == "driver":
        return way.driver.numbers(asked, space, "perceptual", True)
    return asked


def _twice(asked: Floats, way: Way, choice: int) -> Floats:
    """Converted, and once more what came of it: by the driver, by the same profile, or by the profile first."""
    once = way.profile.numbers(asked, way.space, way.intent, way.compensated)
    again: Space = ("srgb", "srgb", "adobe-rgb")[choice % 3]  # type: ignore[assignment]
    if choice < 3:
        return way.driver.numbers(once, again, "perceptual", True)
    return way.profile.numbers(once, again, way.intent, way.compensated)


def held_back(numbers: Floats, damage: Damage) -> Floats:
    """Numbers (n, 3) by which a printer lays less: ``ink`` of each tint, of light ones less than of full ones where
    ``bend`` is above 1, and of all three together no more than ``most``."""
    depth = damage.ink * (1.0 - np.clip(numbers, 0.0, 1.0)) ** damage.bend
    room = (damage.most or 3.0) / np.maximum(depth.sum(axis=1, keepdims=True), 1e-9)
    return np.asarray(1.0 - depth * np.minimum(1.0, room))


def _as_sent(numbers: Floats, damage: Damage) -> Floats:
    """What a press is sent in place of these numbers, where a fault moves them."""
    if damage.most is not None:
        return held_back(numbers, damage)
    if damage.at_press is not None:
        return strange(np.clip(numbers, 0.0, 1.0), np.random.default_rng(damage.at_press))
    return numbers


def _inked(device: Device, sent: Floats, card: Card, damage: Damage) -> Floats:
    sent = _as_sent(sent, damage)
    if damage.most is not None:
        return device.lab(sent, card)
    if damage.cause == "too-little-ink" and damage.rough:
        # A setting for a lesser card holds ink back and keeps its greys even.
        plain, depth = device.lab(sent, card), 0.3 + 0.7 * damage.ink
        paper = device.lab(np.ones((1, 3)), card)
        return np.asarray(paper + np.array([depth, depth**2, depth**2]) * (plain - paper))
    shown = device.lab(sent, card, ink=damage.ink, missing=damage.gone)
    return _in_part(shown, lambda: device.lab(sent, card), damage)


def _evened(
    asked: Floats,
    space: Space,
    way: Way,
    card: Card,
    damage: Damage,
    managed: Literal["once", "twice", "nobody"] = "once",
) -> Floats:
    """By a driver that turns numbers to inks so that greys come out even, and lets other colours follow."""
    asked = _as_sent(asked, damage)
    printer = replace(way.device.printer, reads_as=space, managed=managed)

    def shown(printer: PrinterModel) -> Floats:
        lab = xyz_to_lab(inks_on_stock(rgb_to_inks(asked, card.stock, printer), card.stock))
        return drawn_its_own_way(lab, asked, card.way)

    if damage.cause == "too-little-ink" and damage.rough:
        plain, depth = shown(printer), 0.3 + 0.7 * damage.ink
        paper = card.stock.overprints_lab[:1]
        return np.asarray(paper + np.array([depth, depth**2, depth**2]) * (plain - paper))
    if damage.most is not None:
        return shown(printer)
    found = shown(replace(printer, ink=damage.ink, missing=damage.gone))
    return _in_part(found, lambda: shown(printer), damage)


def _toned(asked: Floats, space: Space, way: Way, card: Card, damage: Damage) -> Floats:
    """All colours alike between paper and black, and a share of their chroma, whatever the card could hold."""
    tone, asked = way.tone, _as_sent(asked, damage)
    ends = way.device.lab(np.array([[0.0] * 3, [1.0] * 3]), card)
    source = rgb_to_lab(np.clip(asked, 0.0, 1.0), RGB_SPACES[space])
    light = float(lab_to_xyz(relative(ends[0], ends[1]))[1])
    scale = tone.even * source[:, 0] / 100.0 + (1.0 - tone.even) * (
        (scaled(source, light)[:, 0] - scaled(np.zeros((1, 3)), light)[0, 0])
        / (100.0 - scaled(np.zeros((1, 3)), light)[0, 0])
    )
    hue = np.arctan2(source[:, 2], source[:, 1])
    turned = hue + np.radians(
        np.interp(np.degrees(hue) % 360.0, np.arange(7) * 60.0, [*tone.turn_deg, tone.turn_deg[0]])
    )
    chroma = np.hypot(source[:, 1], source[:, 2]) * (tone.hold if card.stock.takes_ink else tone.bare_hold)
    shown = ends[0] + scale[:, None] * (ends[1] - ends[0])
    shown[:, 1:] += chroma[:, None] * np.column_stack([np.cos(turned), np.sin(turned)])
    if damage.cause == "too-little-ink" and damage.most is None:
        depth = 0.3 + 0.7 * damage.ink
        shown = ends[1] + np.array([depth, depth**2, depth**2]) * (shown - ends[1])
    return drawn_its_own_way(shown, asked, card.way)


def _in_part(shown: Floats, sound: object, damage: Damage) -> Floats:
    """Rows with and rows without the ink add up by area."""
    if damage.part == 1.0:
        return shown
    assert callable(sound)
    return xyz_to_lab(damage.part * lab_to_xyz(shown) + (1.0 - damage.part) * lab_to_xyz(sound()))


def warp(rng: np.random.Generator) -> Warp:
    """One of the three, strong enough to be seen."""
    kind = rng.integers(3)
    return Warp(
        float(rng.choice([-1, 1]) * rng.uniform(25.0, 180.0)) if kind == 0 else 0.0,
        rng.uniform(0.25, 1.0, 3) if kind == 1 else np.ones(3),
        own_way(float(rng.uniform(15.0, 40.0)) if kind == 2 else 0.0, rng),
    )


def strange(asked: Floats, rng: np.random.Generator) -> Floats:
    """Numbers moved as no cause of the list moves them."""
    way = rng.integers(7)
    if way == 0:
        order = ((1, 0, 2), (0, 2, 1), (1, 2, 0), (2, 0, 1), (2, 1, 0))[rng.integers(5)]
        return asked[:, order]
    if way == 1:
        mix = np.eye(3) + rng.uniform(-0.45, 0.45, (3, 3)) * (1 - np.eye(3))
        return np.clip(asked @ (mix / mix.sum(axis=1, keepdims=True)).T, 0.0, 1.0)
    if way == 2:
        return np.asarray(asked ** rng.choice([0.4, 0.55, 1.8, 2.5], 3))
    if way == 3:
        steps = rng.integers(2, 4)
        return np.asarray(np.round(asked * steps) / steps)
    if way == 4:
        grey = asked @ np.array([0.3, 0.59, 0.11])
        kept = rng.uniform(-0.6, 0.1)  # above, it would be any dull print
        return np.clip(grey[:, None] + kept * (asked - grey[:, None]), 0.0, 1.0)
    if way == 5:
        bent = rng.uniform(0.35, 0.8)  # a tone scale that turns back: solarised
        return np.asarray(np.where(asked > bent, bent - 0.8 * (asked - bent), asked))
    filtered = asked.copy()
    filtered[:, rng.integers(3)] *= rng.uniform(0.3, 0.65)
    return filtered


def random_rendering(rng: np.random.Generator) -> tuple[Intent, bool]:
    """An intent and whether black point compensation is on, as people set them."""
    intent = INTENTS[rng.choice(4, p=[0.35, 0.45, 0.1, 0.1])]
    return intent, bool(intent == "relative" and rng.random() < 0.6) or intent in ("perceptual", "saturation")


def random_tone(rng: np.random.Generator) -> Tone:
    hold = float(rng.uniform(0.4, 1.0))
    return Tone(
        hold, hold * float(rng.uniform(0.4, 0.8)), float(rng.random()), tuple(rng.normal(0, 4, 6).tolist())
    )
