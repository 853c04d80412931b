"""A print: a card, the way that numbers took, and what went wrong on it; the faults drawn as real ways have them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, cast, get_args

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.profile.icc.working_space import SpaceName
from tackside.records.trial import Intent
from tackside.records.verdict import Cause
from training.examiner.cards import Card, Grain
from training.examiner.paths import Odd, Route, Wrong
from training.examiner.spectra import WAVELENGTHS, to_xyz
from training.examiner.works import Work

FAULTS: tuple[Cause, ...] = tuple(cause for cause in get_args(Cause) if cause != "none")
PAIRS: tuple[tuple[Cause, Cause], ...] = (
    ("stock", "unmanaged"),
    ("side", "unmanaged"),
    ("stock", "too-much-ink"),
    ("side", "too-much-ink"),
    ("too-much-ink", "unmanaged"),
    ("missing-ink", "alignment"),
    ("alignment", "scaling"),
    ("stock", "scaling"),
    ("managed-twice", "alignment"),
)
CARD_FAULTS = ("stock", "side")
WRONGS = ("unmanaged", "managed-twice", "wide-read-as-narrow", "narrow-read-as-wide")
# From here on a print plainly differs from the same one made soundly: mean ΔE00 of its patches, doubling, and size.
MOVED_DE00, MOVED_UM, MOVED_SCALE = 3.0, 80.0, 0.005
# An unknown fault is to be plain, as no one would ask about it otherwise.
ODD_DE00 = 8.0
INTENTS: tuple[Intent, ...] = ("perceptual", "relative", "saturation", "absolute")


@dataclass(frozen=True, eq=False)
class Print:
    """One print. ``ink``: all amounts times this; ``lost``: inks (by number) that are missing from ``lost_share`` of
    the rows; ``filtered`` (31,): what colours the whole of it; ``mingled`` (inks, inks): how much of each ink (column)
    flows from each tank (row), where one ink got into another's; ``doubled_um``: how far apart the two passes of the
    head land; ``scale``: printed over asked-for length, x and y.
    """

    card: Card
    route: Route
    ink: float = 1.0
    lost: tuple[int, ...] = ()
    lost_share: float = 1.0
    filtered: Floats | None = None
    mingled: Floats | None = None
    doubled_um: float = 0.0
    scale: tuple[float, float] = (1.0, 1.0)

    def spectra(self, rgb: Floats, space: SpaceName) -> Floats:
        """Reflectance (n, 31) of file numbers (n, 3)."""
        return self._seen(rgb, space, self.card.spectra)

    def xyz(self, rgb: Floats, space: SpaceName) -> Floats:
        """XYZ (n, 3), Y = 1 for the perfect diffuser."""
        if self.filtered is not None:
            return to_xyz(self.spectra(rgb, space))
        return self._seen(rgb, space, self.card.xyz)

    def lab(self, rgb: Floats, space: SpaceName) -> Floats:
        return xyz_to_lab(self.xyz(rgb, space))

    @property
    def bare_xyz(self) -> Floats:
        """XYZ (3,) of the card where no ink lies."""
        none = np.zeros((1, len(self.route.engine.inks)))
        if self.filtered is not None:
            return np.asarray(to_xyz(self.card.spectra(none) * self.filtered)[0])
        return np.asarray(self.card.xyz(none)[0])

    def _seen(self, rgb: Floats, space: SpaceName, shown: Callable[[Floats], Floats]) -> Floats:
        amounts = self.ink * self.route.engine.amounts(self.route.numbers(rgb, space))
        if self.mingled is not None:
            amounts = amounts @ self.mingled
        seen = shown(amounts)
        if self.lost:
            left = amounts.copy()
            left[:, list(self.lost)] = 0.0
            seen = (1.0 - self.lost_share) * seen + self.lost_share * shown(left)
        return seen if self.filtered is None else np.asarray(seen * self.filtered)

    @property
    def grain(self) -> Grain:
        """How lines and areas came out: too much ink runs and pools, too little leaves gaps."""
        own, over = self.card.grain, max(self.ink - 1.0, 0.0)
        short = max(1.0 - self.ink, 0.0)
        return replace(
            own,
            spread_um=own.spread_um + 75.0 * over - 12.0 * short,
            blur_um=own.blur_um * (1.0 + 0.6 * over),
            ragged_um=own.ragged_um * (1.0 + 1.5 * over),
            mottle=own.mottle * (1.0 + 1.4 * over + 0.5 * short),
            grain=own.grain * (1.0 + 0.6 * short + (0.6 if self.lost and self.lost_share < 1.0 else 0.0)),
        )


def sound_route(
    rng: np.random.Generator, work: Work, card: Literal["coated", "other", "bare"], space: SpaceName
) -> Route:
    """A way that works on that card: by the application, any intent, or by the driver (which takes sRGB alone)."""
    made = {
        "coated": lambda: work.made_coated,
        "other": lambda: work.made_other,
        "bare": lambda: work.made_bare,
    }[card]()
    intent = INTENTS[int(rng.choice(4, p=[0.36, 0.48, 0.08, 0.08]))]
    route = Route(work.engine, made, intent, compensated=bool(rng.random() < 0.7) and intent != "absolute")
    if space == "srgb" and card != "bare" and rng.random() < 0.3:
        drivers = work.drivers if card == "coated" else work.drivers_other
        return replace(route, driver=drivers[int(rng.integers(2))])
    return route


def other_settings(rng: np.random.Generator, work: Work, route: Route) -> Route:
    """The same profile or driver, set differently."""
    if route.driver is not None:
        drivers = work.drivers if route.made is work.made_coated else work.drivers_other
        return replace(route, driver=drivers[int(rng.integers(2))])
    intent = INTENTS[int(rng.choice(4, p=[0.4, 0.44, 0.08, 0.08]))]
    return replace(route, intent=intent, compensated=bool(rng.random() < 0.7) and intent != "absolute")


def spoilt(
    rng: np.random.Generator, work: Work, sound: Print, faults: tuple[Cause, ...], space: SpaceName
) -> Print:
    """The sound print with these faults, each by a severity drawn at random."""
    made = sound
    for fault in faults:
        made = _with(rng, work, made, fault, space)
    return made


def _with(rng: np.random.Generator, work: Work, one: Print, fault: Cause, space: SpaceName) -> Print:
    if fault in CARD_FAULTS:
        return replace(one, card=work.bare)
    if fault in WRONGS:
        return replace(one, route=_wrong(rng, work, one.route, cast(Wrong, fault)))
    match fault:
        case "too-little-ink":
            return replace(one, ink=float(rng.uniform(0.4, 0.95)))
        case "too-much-ink":
            return replace(one, ink=float(rng.uniform(1.05, 1.6)))
        case "missing-ink":
            return _without(rng, work, one)
        case "alignment":
            return replace(one, doubled_um=float(rng.uniform(60.0, 320.0)))
        case "scaling":
            return replace(one, scale=_scaled(rng))
        case _:
            return _odd(rng, one, space)


def _wrong(rng: np.random.Generator, work: Work, route: Route, wrong: Wrong) -> Route:
    if wrong != "managed-twice":
        return replace(route, wrong=wrong)
    # The application manages, and then the driver does as well; or the profile is set in both places.
    second = work.drivers[int(rng.integers(2))] if rng.random() < 0.65 else None
    return replace(route, driver=None, wrong=wrong, second=second)


def _without(rng: np.random.Generator, work: Work, one: Print) -> Print:
    inks = work.engine.inks
    gone = str(rng.choice([ink for ink in ("c", "m", "y", "k") if ink in inks]))
    lost = [inks.index(gone)]
    if "l" + gone in inks and rng.random() < 0.5:  # both tanks of the colour
        lost.append(inks.index("l" + gone))
    share = 1.0 if rng.random() < 0.6 else float(rng.uniform(0.25, 0.9))
    return replace(one, lost=tuple(lost), lost_share=share)


def _scaled(rng: np.random.Generator) -> tuple[float, float]:
    """Fitted into margins, enlarged for borderless, or a feed that slips, which stretches one axis alone."""
    kind = rng.random()
    if kind < 0.5:
        factor = float(rng.uniform(0.92, 0.993))
        return factor, factor
    if kind < 0.8:
        factor = float(rng.uniform(1.006, 1.05))
        return factor, factor
    return 1.0, float(1.0 + rng.choice([-1, 1]) * rng.uniform(0.006, 0.03))


def _odd(rng: np.random.Generator, one: Print, space: SpaceName) -> Print:
    axis = np.linspace(0.0, 1.0, 5)
    some = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    before = one.lab(some, space)
    while True:
        made = _one_odd(rng, one)
        if float(delta_e_2000(before, made.lab(some, space)).mean()) >= ODD_DE00:
            return made


def _mingled(rng: np.random.Generator, inks: tuple[str, ...]) -> Floats:
    """One of the three colours got into another's tank, or into both others."""
    mixed = np.eye(len(inks))
    colours = [place for place, ink in enumerate(inks) if ink in ("c", "m", "y")]
    into = [int(place) for place in rng.permutation(colours)]
    for tank in into[1 : 2 + int(rng.random() < 0.3)]:
        share = float(rng.uniform(0.25, 0.7))
        mixed[tank, tank], mixed[tank, into[0]] = 1.0 - share, share
    return mixed


def _one_odd(rng: np.random.Generator, one: Print) -> Print:
    kind = int(rng.integers(7))
    if kind == 5:
        turn = float(rng.choice([-1.0, 1.0]) * rng.uniform(0.35, 1.6))
        return replace(one, route=replace(one.route, turned=turn))
    if kind == 6:
        return replace(one, mingled=_mingled(rng, one.route.engine.inks))
    if kind == 0:
        orders = ((1, 0, 2), (2, 1, 0), (0, 2, 1), (1, 2, 0), (2, 0, 1))
        return replace(one, route=replace(one.route, odd=Odd("exchanged", orders[int(rng.integers(5))])))
    if kind == 1:
        return replace(
            one, route=replace(one.route, odd=Odd("solarised", strength=float(rng.uniform(0.5, 1.0))))
        )
    if kind == 2:
        return replace(
            one, route=replace(one.route, odd=Odd("negative", strength=float(rng.uniform(0.6, 1.0))))
        )
    if kind == 3:
        return replace(
            one, route=replace(one.route, odd=Odd("stepped", strength=float(rng.uniform(0.5, 1.0))))
        )
    at, width, depth = rng.uniform(420, 680), rng.uniform(30, 80), rng.uniform(0.4, 0.85)
    return replace(one, filtered=1.0 - depth * np.exp(-0.5 * ((WAVELENGTHS - at) / width) ** 2))


def moved_by(made: Print, sound: Print, rgb: Floats, space: SpaceName) -> float:
    """Mean ΔE00 over the sheet's patches, by an eye without error."""
    return float(delta_e_2000(made.lab(rgb, space), sound.lab(rgb, space)).mean())


def has_moved(made: Print, de00: float) -> bool:
    """Whether the fault is plain in colour, in lines or in size."""
    stretched = max(abs(scale - 1.0) for scale in made.scale)
    return de00 >= MOVED_DE00 or made.doubled_um >= MOVED_UM or stretched >= MOVED_SCALE
