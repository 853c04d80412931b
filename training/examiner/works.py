"""Works: one engine with its cards, profiles and drivers. Three kinds, each its own physics.

``profiles``: profiles that third parties built and gave away, with the paper that their own colorimetric table
describes. ``charts``: cards of open characterisation data, under profiles built here. ``spectra``: invented inkjets.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial
from itertools import count
from pathlib import Path
from typing import Literal, cast

import numpy as np
import pyvips

from tackside.colour.gamut import hull_volume
from tackside.colour.spaces import Floats, lab_to_xyz
from tackside.records.trial import Intent
from training.examiner import charts
from training.examiner.cards import Card, MeasuredCard, bare_grain, coated_grain, lab_of
from training.examiner.cms import converted
from training.examiner.engines import Engine, draw_separation
from training.examiner.icc import ColorimetricTable, colorimetric_table
from training.examiner.inkjet import InkjetCard, Inks, draw_inks, paper_spectrum
from training.examiner.paths import Driver, draw_driver
from training.examiner.profiles import Made, draw_recipe, make_profile, off, solid_of
from training.examiner.spectra import Likely

Family = Literal["profiles", "charts", "spectra"]
FAMILIES: tuple[Family, ...] = ("profiles", "charts", "spectra")
# The default profile in the Debian package libgs-common.
SWOP = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
# A profile that is off by more than this, on average inside the gamut, is a fault of its own and no sound one.
STALE_DE00 = 3.0
_TRIED: tuple[Intent, ...] = ("perceptual", "relative")
PROCESS = ("c", "m", "y", "k")
INK_SETS = (
    ("c", "m", "y"),
    PROCESS,
    (*PROCESS, "lc", "lm"),
    (*PROCESS, "lc", "lm", "lk", "r"),
    (*PROCESS, "lk", "r", "g", "b"),
)
# What a coated inkjet card must hold to be called good, and a bare one must not: L* of the darkest mix, and the hull of
# paper, black and six full colours in thousands. Between the two are cards about which people differ; none is drawn.
# By the open sets: coated 6.8 to 12 and 305 or more at full ink, uncoated 26 or more and 171 or less.
GOOD_BLACK, GOOD_CORNERS, BARE_BLACK, BARE_CORNERS = 19.0, 260.0, 25.0, 190.0
# The same hull of an sRGB file's colours through a profile, in thousands: third parties' span 174 and more on the two
# coated papers at hand. What spans less than this is no work of anyone who makes profiles.
DULL_CORNERS = 150.0
_DRAWN = 12
CORNERS: Floats = np.array([[r, g, b] for r in (0, 1) for g in (0, 1) for b in (0, 1)], dtype=float)


@dataclass(frozen=True, eq=False)
class Work:
    """One engine and what it prints on. ``coated`` and ``other`` are good cards, each with a profile; ``bare`` is not.

    ``made_coated`` may be a little old. The rest is made when it is asked for, each from a seed of its own.
    """

    family: Family
    name: str
    engine: Engine
    coated: Card
    other: Card
    bare: Card
    made_coated: Made
    seed: int
    other_profile: bytes | None = None

    @cached_property
    def made_other(self) -> Made:
        if self.other_profile is not None:
            return third_party(self._rng(1), self.engine, self.other, self.other_profile)
        return fresh_profile(self._rng(1), self.engine, self.other)

    @cached_property
    def made_bare(self) -> Made:
        """The profile of the bare card itself."""
        return fresh_profile(self._rng(2), self.engine, self.bare)

    @cached_property
    def drivers(self) -> tuple[Driver, Driver]:
        """The driver's own two renderings, made for the coated card."""
        rng = self._rng(3)
        return draw_driver(rng, self.made_coated, "natural"), draw_driver(rng, self.made_coated, "vivid")

    @cached_property
    def drivers_other(self) -> tuple[Driver, Driver]:
        rng = self._rng(3)
        return draw_driver(rng, self.made_other, "natural"), draw_driver(rng, self.made_other, "vivid")

    def _rng(self, what: int) -> np.random.Generator:
        return np.random.default_rng([self.seed, what])


def fresh_profile(rng: np.random.Generator, engine: Engine, card: Card) -> Made:
    """A profile of this card, or of one like it some time ago; as good as users would take for sound.

    On a card of which no profile makes more, the richest of ``_DRAWN`` will do.
    """
    richest: tuple[float, Made] | None = None
    for _ in range(_DRAWN) if card.is_coated else count():
        then = card.another(rng, float(rng.choice([0.0, 0.5, 1.0, 1.8], p=[0.4, 0.3, 0.2, 0.1])))
        made = make_profile(rng, engine, then, draw_recipe(rng))
        if off(made, engine, card) > STALE_DE00:
            continue
        if not card.is_coated or (shown := least_shown(engine, card, made)) >= 1000.0 * DULL_CORNERS:
            return made
        richest = max(richest or (shown, made), (shown, made), key=lambda one: one[0])
    return richest[1] if richest is not None else fresh_profile(rng, engine, card)


def least_shown(engine: Engine, card: Card, made: Made) -> float:
    """The hull of the six full colours, black and paper of an sRGB file through a profile, by the duller intent of two:
    what spans less than any profile seen so far wastes a good card.
    """
    return min(
        hull_volume(lab_of(card, engine.amounts(converted(CORNERS, "srgb", made.profile, intent, True))))
        for intent in _TRIED
    )


def third_party(rng: np.random.Generator, engine: Engine, card: Card, profile: bytes) -> Made:
    """Another's profile, and the card's own solid for a driver beside it."""
    separation = draw_separation(rng, PROCESS)
    return Made(profile, solid_of(rng, engine, card, separation, 9), separation)


@lru_cache(maxsize=1)
def printed_spectra() -> Likely:
    """What printed spectra are like: four invented ink sets on two faces each."""
    rng = np.random.default_rng(20)
    found = []
    for _ in range(4):
        inks = draw_inks(rng, PROCESS)
        for is_coated in (True, False):
            card = _inkjet_card(rng, inks, is_coated)
            found.append(card.spectra(rng.random((250, 4)) ** rng.uniform(0.5, 2.0)))
    return Likely.of(np.concatenate(found))


def draw_work(rng: np.random.Generator, family: Family) -> Work:
    """A new work of this kind. Raises FileNotFoundError where its data are not on this machine."""
    match family:
        case "profiles":
            return _of_profiles(rng)
        case "charts":
            return _of_charts(rng)
        case "spectra":
            return _of_spectra(rng)


def missing(family: Family) -> str | None:
    """What must be installed before this kind can be drawn, or None."""
    if family == "profiles" and not (SWOP.exists() and charts.at_hand(charts.UNCOATED)):
        return "libgs-common"
    if family == "charts" and not charts.at_hand(charts.COATED):
        return "icc-profiles-free"
    return None


def _measured(
    rng: np.random.Generator, name: str, is_coated: bool, at: Callable[[Floats], Floats], varied: float
) -> MeasuredCard:
    base = str(rng.choice(["photo", "matt", "unknown"] if is_coated else ["plain", "unknown", "matt"]))
    grain = coated_grain(rng) if is_coated else bare_grain(rng)
    card = MeasuredCard(name, is_coated, base, grain, at, printed_spectra(), np.zeros(4), np.ones(3))
    return card.another(rng, varied)


def _chart_card(rng: np.random.Generator, name: str) -> MeasuredCard:
    coated = name in charts.COATED
    return _measured(rng, name, coated, partial(charts.measured_xyz, name), float(rng.uniform(0.0, 1.5)))


def _of_charts(rng: np.random.Generator) -> Work:
    coated, other = map(str, rng.choice(charts.at_hand(charts.COATED), 2, replace=False))
    bare = str(rng.choice(charts.at_hand(charts.UNCOATED)))
    takes: Literal["rgb", "cmyk"] = "cmyk" if rng.random() < 0.4 else "rgb"
    engine = Engine(takes, PROCESS, draw_separation(rng, PROCESS))
    card = _chart_card(rng, coated)
    return Work(
        "charts", f"{coated} {takes}", engine, card, _chart_card(rng, other), _chart_card(rng, str(bare)),
        fresh_profile(rng, engine, card), int(rng.integers(2**31)),
    )  # fmt: skip


@lru_cache(maxsize=1)
def third_parties() -> dict[str, bytes]:
    """Profiles that others built: the default one in libgs-common, and the one that libvips carries (public domain)."""
    held = pyvips.Operation.call("profile_load", "cmyk")
    return {
        "libgs": SWOP.read_bytes(),
        "libvips": bytes(cast(bytes, held.get() if hasattr(held, "get") else held)),
    }


def _by_table(table: ColorimetricTable, cmyk: Floats) -> Floats:
    return np.maximum(lab_to_xyz(table.lab(cmyk)), 1e-5)


def _of_profiles(rng: np.random.Generator) -> Work:
    names = [str(name) for name in rng.permutation(list(third_parties()))]
    engine = Engine("cmyk", PROCESS, draw_separation(rng, PROCESS))
    cards = []
    for name in names:
        table = colorimetric_table(third_parties()[name])
        # Half the time the very paper that the profile describes, as far as numbers go.
        varied = 0.0 if rng.random() < 0.5 else float(rng.uniform(0.3, 1.2))
        cards.append(_measured(rng, name, True, partial(_by_table, table), varied))
    bare = _chart_card(rng, str(rng.choice(charts.at_hand(charts.UNCOATED))))
    made = third_party(rng, engine, cards[0], third_parties()[names[0]])
    return Work(
        "profiles", names[0], engine, cards[0], cards[1], bare, made, int(rng.integers(2**31)),
        other_profile=third_parties()[names[1]],
    )  # fmt: skip


def _of_spectra(rng: np.random.Generator) -> Work:
    names = INK_SETS[int(rng.integers(len(INK_SETS)))]
    while True:
        engine = Engine("rgb", names, draw_separation(rng, names, limit=(2.6, 3.6)))
        inks = draw_inks(rng, names)
        coated, other, bare = (_inkjet_card(rng, inks, is_coated) for is_coated in (True, True, False))
        if good(engine, coated) and good(engine, other) and plainly_bare(engine, bare):
            break
    return Work(
        "spectra", f"{len(names)} inks", engine, coated, other, bare,
        fresh_profile(rng, engine, coated), int(rng.integers(2**31)),
    )  # fmt: skip


def _held(engine: Engine, card: Card) -> tuple[float, float]:
    """L* of the darkest mix, and the hull of the eight corners in thousands."""
    lab = lab_of(card, engine.separation.amounts(CORNERS))
    return float(lab[:, 0].min()), hull_volume(lab) / 1000.0


def good(engine: Engine, card: Card) -> bool:
    black, volume = _held(engine, card)
    return black <= GOOD_BLACK and volume >= GOOD_CORNERS


def plainly_bare(engine: Engine, card: Card) -> bool:
    black, volume = _held(engine, card)
    return black >= BARE_BLACK and volume <= BARE_CORNERS


# Of a coated face: base, what its surface throws back, share of the ink's density that stays on top, Yule and
# Nielsen's n.
_FINISHES: tuple[tuple[str, tuple[float, float], tuple[float, float]], ...] = (
    ("photo", (0.0015, 0.006), (0.92, 1.1)),
    ("photo", (0.005, 0.010), (0.88, 1.05)),
    ("matt", (0.010, 0.018), (0.70, 0.90)),
    ("cotton", (0.010, 0.018), (0.68, 0.9)),
)


def _inkjet_card(rng: np.random.Generator, inks: Inks, is_coated: bool) -> InkjetCard:
    count = len(inks.names)
    if is_coated:
        base, surface, holds = _FINISHES[int(rng.integers(len(_FINISHES)))]
        gain, white, grain = rng.uniform(0.03, 0.13), (0.86, 0.94), coated_grain(rng)
    else:
        base = str(rng.choice(["plain", "matt", "cotton", "unknown"]))
        surface, holds = (0.018, 0.032), (0.22, 0.42)
        gain, white, grain = rng.uniform(0.1, 0.2), (0.74, 0.90), bare_grain(rng)
    return InkjetCard(
        name="coated" if is_coated else "bare",
        is_coated=is_coated,
        base=base,
        grain=grain,
        inks=inks,
        paper=paper_spectrum(rng, white),
        surface=float(rng.uniform(*surface)),
        holds=float(rng.uniform(*holds)),
        gain=gain + rng.normal(0.0, 0.01, count),
        nielsen=float(rng.uniform(1.4, 2.6)) if rng.random() < 0.5 else None,
    )
