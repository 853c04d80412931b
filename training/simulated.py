"""Prints to train on: invented works, a fault drawn, the colours seen by an invented scanner, as rows of figures.

A print is made by the press's model or, for part of them, by another rule for the same fault, so that what is learnt
is the fault and not one model of it. Every card draws tints a little in its own way besides.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.spatial.distance import cdist

from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.records.verdict import Cause
from tackside.verdict.classifier.features import SAMPLED_AT, features
from tackside.verdict.classifier.trained import STATES, State
from tackside.verdict.model.cards import Known
from tackside.verdict.model.tone_response import levels
from training.invented import Works, works
from training.rendered import Rendered, faulty
from training.scanners import PatchScanner, instrument, random_scanner
from training.stocks import varied

EACH_WORKS = 40
# A scanner that was learnt to within this counts as colorimetric, as an instrument does.
LEARNT_DE00 = 2.0
# How often each state is drawn: sound ones more, since they must not be accused.
_OFTEN: dict[State, float] = {("none", False): 6.0, ("none", True): 2.5, ("unknown", False): 3.0}
_SHARES = np.array([_OFTEN.get(state, 1.0 if state[1] else 2.0) for state in STATES])
SHARES = _SHARES / _SHARES.sum()
_KNOWN: tuple[Known, ...] = ("same-card", "other-card", "typical")
# The row of bare paper.
_PAPER = 11
_CENTRES = np.random.default_rng(5).random((24, 3))


def feature_rows(count: int, seed: int) -> tuple[Floats, Floats]:
    """Rows of figures (count, d) and their states, as places in STATES (count,)."""
    return shown(one_row, count, seed)


def shown(
    row: Callable[[Works, State, np.random.Generator], Floats], count: int, seed: int
) -> tuple[Floats, Floats]:
    """Rows of prints by works at random, each in a state drawn by SHARES, and their states."""
    rng = np.random.default_rng(seed)
    rows, states = [], []
    for number in range(count):
        if number % EACH_WORKS == 0:
            at = works(rng)
        place = int(rng.choice(len(STATES), p=SHARES))
        rows.append(row(at, STATES[place], rng))
        states.append(place)
    return np.array(rows, dtype=np.float32), np.array(states)


def one_row(at: Works, state: State, rng: np.random.Generator) -> Floats:
    cause, on_bare = state
    known = _KNOWN[rng.choice(3, p=[0.3, 0.4, 0.3])]
    if known == "same-card" and on_bare:
        known = "other-card" if rng.random() < 0.7 else known  # the wrong side of the known card
    space = "srgb" if rng.random() < 0.5 else "adobe-rgb"
    if cause == "wide-read-as-narrow":
        space = "adobe-rgb"
    if cause == "narrow-read-as-wide":
        space = "srgb"
    good, base = at.coated[rng.integers(3)]
    sound = replace(at.printer, reads_as=space, media=good)  # type: ignore[arg-type]
    coated = varied(good, rng, 1.0)
    paper = varied(at.bare[rng.integers(2)], rng, 1.0) if on_bare else coated
    scanner = _scanner(rng)
    amount = rng.uniform(0.0, 2.0)
    own = own_way(amount, rng)
    lab = laid(cause, at, sound, paper, rng)
    lab = own_tints(lab, own + own_way(0.5 if on_bare else 0.0, rng))
    seen = scanner.read(lab_to_xyz(lab), rng)
    beside = None
    if known != "typical":
        if known == "same-card":
            other, media, theirs = varied(coated, rng, 0.2), good, own + own_way(0.15, rng)
        else:
            other_good, _ = at.coated[rng.integers(3)]
            other, media, theirs = varied(other_good, rng, 1.0), other_good, own_way(amount, rng)
        fine = own_tints(laid("none", at, replace(sound, media=media), other, rng), theirs)
        beside = scanner.read(lab_to_xyz(fine), rng)
    return features(
        seen,
        beside,
        known=known,
        base=base if rng.random() < 0.7 else None,
        space=space,
        colorimetric=scanner.shared < LEARNT_DE00,
        de00=scanner.shared,
    )


def _scanner(rng: np.random.Generator) -> PatchScanner:
    """An instrument, a flatbed as it comes, or one that was learnt on the user's inks."""
    way = rng.choice(3, p=[0.3, 0.55, 0.15])
    if way == 0:
        return instrument()
    raw = random_scanner(rng)
    if way == 1:
        return raw
    talk = np.eye(3) + 0.25 * (raw.cross_talk - np.eye(3))
    return replace(raw, tone=1 + 0.25 * (raw.tone - 1), cross_talk=talk, shared=float(rng.uniform(0.8, 1.8)))


def own_way(amount: float, rng: np.random.Generator) -> Floats:
    """Weights of a card's own smooth way with tints, about ``amount`` ΔE*ab."""
    return np.asarray(amount * rng.standard_normal((len(_CENTRES), 3)) * np.array([0.5, 0.8, 0.8]) / 2.2)


def own_tints(lab: Floats, weights: Floats) -> Floats:
    far = cdist(levels(SAMPLED_AT), _CENTRES, "sqeuclidean")
    bumps = np.exp(-0.5 * far / 0.35**2)
    # Paper and black are each card's own already, and greys are kept even.
    full = 0.4 + 0.6 * np.ptp(SAMPLED_AT, axis=1)
    ends = 4.0 * SAMPLED_AT.mean(axis=1) * (1.0 - SAMPLED_AT.mean(axis=1))
    moved = lab + (full * np.sqrt(ends))[:, None] * (bumps @ weights)
    moved[:, 0] = np.clip(moved[:, 0], 1.0, 99.0)
    return np.asarray(moved)


def laid(cause: Cause, at: Works, sound: PrinterModel, paper: StockModel, rng: np.random.Generator) -> Floats:
    """The colours laid down at SAMPLED_AT."""
    if at.style is None:
        return _by_inks(cause, sound, paper, rng)
    numbers = _strange(SAMPLED_AT, rng) if cause == "unknown" else None
    return faulty(cause, Rendered(paper, at.style), sound.reads_as, numbers, rng)


def _by_inks(cause: Cause, sound: PrinterModel, paper: StockModel, rng: np.random.Generator) -> Floats:
    def shown(printer: PrinterModel = sound, numbers: Floats = SAMPLED_AT) -> Floats:
        return xyz_to_lab(rgb_to_xyz(np.clip(numbers, 0.0, 1.0), paper, printer))

    if cause in ("managed-twice", "unmanaged"):
        if rng.random() < 0.75:
            return shown(replace(sound, managed="twice" if cause == "managed-twice" else "nobody"))
        power = rng.uniform(1.25, 1.9) * rng.uniform(0.85, 1.2, 3)
        return shown(numbers=SAMPLED_AT ** (1 / power if cause == "managed-twice" else power))
    if cause == "too-little-ink":
        ink = float(rng.uniform(0.38, 0.96))
        if rng.random() < 0.75:
            return shown(replace(sound, ink=ink))
        plain, depth = shown(), 0.3 + 0.7 * ink
        return np.asarray(plain[_PAPER] + np.array([depth, depth**2, depth**2]) * (plain - plain[_PAPER]))
    if cause == "too-much-ink":
        return shown(replace(sound, ink=float(rng.uniform(1.04, 1.65))))
    if cause == "missing-ink":
        without = lab_to_xyz(shown(replace(sound, missing=("cmyk"[rng.integers(4)],))))  # type: ignore[arg-type]
        part = 1.0 if rng.random() < 0.7 else rng.uniform(0.5, 1.0)
        # Part of the nozzles: rows with and rows without the ink add up by area.
        return xyz_to_lab(part * without + (1 - part) * lab_to_xyz(shown()))
    if cause == "wide-read-as-narrow":
        return shown(replace(sound, reads_as="srgb"))
    if cause == "narrow-read-as-wide":
        return shown(replace(sound, reads_as="adobe-rgb"))
    if cause == "unknown":
        return shown(numbers=_strange(SAMPLED_AT, rng))
    return shown()


def _strange(asked: Floats, rng: np.random.Generator) -> Floats:
    """Numbers moved as no cause of the list moves them. Red and blue exchanged are left for the study."""
    way = rng.integers(5)
    if way == 0:
        order = ((1, 0, 2), (0, 2, 1), (1, 2, 0), (2, 0, 1))[rng.integers(4)]
        return asked[:, order]
    if way == 1:
        mix = np.eye(3) + rng.uniform(-0.45, 0.45, (3, 3)) * (1 - np.eye(3))
        return np.asarray(asked @ (mix / mix.sum(axis=1, keepdims=True)).T)
    if way == 2:
        return np.asarray(asked ** rng.choice([0.45, 0.6, 1.7, 2.3], 3))
    if way == 3:
        steps = rng.integers(2, 4)
        return np.asarray(np.round(asked * steps) / steps)
    grey = asked @ np.array([0.3, 0.59, 0.11])
    kept = rng.uniform(-0.6, 0.1)  # above, it would be any dull print
    return np.asarray(grey[:, None] + kept * (asked - grey[:, None]))
