"""What lines, rulers and even solids say of the causes: each figure's likelihood under a sound print and its faults.

Means and spreads are this project's own estimates unless the line names a source. Each likelihood has a small
broad part, so that no single figure, wrongly read, can rule a cause out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.records.reading import Reading

_STRAY, _BROAD = 0.02, 8.0


@dataclass(frozen=True)
class Normal:
    """What a figure should be: mean and standard deviation in its own unit."""

    mean: float
    sd: float

    def log_density(self, value: float, sd: float) -> float:
        """Of a value read with standard uncertainty ``sd``, a stray reading allowed for."""
        width = float(np.hypot(self.sd, sd))
        off = (value - self.mean) / width
        sound = np.log((1 - _STRAY) / width) - 0.5 * off**2
        stray = np.log(_STRAY / (_BROAD * width)) - 0.5 * (off / _BROAD) ** 2
        return float(np.logaddexp(sound, stray))


# Growth of black lines, µm, both edges together. On bare card ink feathers along fibres (docs/sources.md, S50); too
# much ink creeps further. Scans of coated card lie between 10 and 45.
GAIN = {"coated": Normal(24.0, 13.0), "bare": Normal(72.0, 20.0), "flooded": Normal(48.0, 24.0)}
# Beside a sound print read by the same scanner, the differences are narrower.
GAIN_BESIDE = {"coated": Normal(0.0, 11.0), "bare": Normal(48.0, 20.0), "flooded": Normal(22.0, 20.0)}
# Natural logarithm of mottle in L*: uncoated card lies unevenly (irregular blotches are the card's:
# docs/sources.md, S50).
MOTTLE = {"coated": Normal(-1.1, 0.45), "bare": Normal(0.0, 0.45), "flooded": Normal(-0.4, 0.6)}
# How far vertical edges are doubled beyond horizontal ones, µm.
DOUBLED = {False: Normal(0.0, 8.0), True: Normal(130.0, 80.0)}
BLURRED = {False: Normal(0.0, 10.0), True: Normal(70.0, 70.0)}
GROWN_ONE_WAY = {False: Normal(0.0, 10.0), True: Normal(40.0, 80.0)}
# Per cent off the true size: what feeding alone does, and what a fit or a borderless factor does (docs/sources.md, S15
# to S17). One print in thirty is fed twice as badly.
SCALED = {False: Normal(0.0, 0.12), True: Normal(0.0, 2.2)}
_FED, _SCALED = SCALED[False].sd, SCALED[True].sd
_FED_BADLY, _BADLY = 0.25, 1 / 30
# How what scales a print does it: both ways by one factor, or along one way alone, as a feed that slips does.
_BOTH, _ONE_WAY = 0.5, 0.25
# A length that was wrongly read may be anything: chance and spread in per cent.
_MISREAD, _ANYTHING = 1e-4, 10.0


@dataclass(frozen=True)
class Traits:
    """Log likelihoods: of the card's state by ``coated``, ``bare``, ``flooded``; of doubling and of scaling."""

    card: dict[str, float]
    doubled: dict[bool, float]
    scaled: dict[bool, float]


NOTHING_READ = Traits(dict.fromkeys(GAIN, 0.0), {False: 0.0, True: 0.0}, {False: 0.0, True: 0.0})


def weigh_traits(reading: Reading, reference: Reading | None) -> Traits:
    """What the attributes and the placement of ``reading`` say; figures not read say nothing."""
    return Traits(_card(reading, reference), _doubled(reading), weigh_scale(reading))


def _card(reading: Reading, reference: Reading | None) -> dict[str, float]:
    said = dict.fromkeys(GAIN, 0.0)
    gain, known = line_gain(reading), None if reference is None else line_gain(reference)
    if gain is not None:
        value, sd = gain
        table = GAIN
        if known is not None:
            table, value, sd = GAIN_BESIDE, value - known[0], float(np.hypot(sd, known[1]))
        for state in said:
            said[state] += table[state].log_density(value, sd)
    mottle = reading.attributes.get("mottle_mid")
    if mottle is not None and mottle.value > 0:
        share = min((mottle.sd or 0.0) / mottle.value, 1.0)
        for state in said:
            said[state] += MOTTLE[state].log_density(float(np.log(mottle.value)), max(share, 0.2))
    return said


def line_gain(reading: Reading) -> tuple[float, float] | None:
    """Growth along horizontal lines, which a misaligned head leaves alone; else along vertical ones."""
    for direction in ("horizontal", "vertical"):
        found = reading.attributes.get(f"line_gain_{direction}")
        if found is not None:
            return found.value, found.sd if found.sd is not None else 10.0
    return None


def _doubled(reading: Reading) -> dict[bool, float]:
    said = {False: 0.0, True: 0.0}
    doubling = reading.attributes.get("doubling_vertical")
    if doubling is not None:
        for is_doubled in said:
            said[is_doubled] += DOUBLED[is_doubled].log_density(doubling.value, doubling.sd or 10.0)
        return said
    for name, table in (("line_blurriness", BLURRED), ("line_gain", GROWN_ONE_WAY)):
        across = reading.attributes.get(f"{name}_vertical")
        along = reading.attributes.get(f"{name}_horizontal")
        if across is None or along is None:
            continue
        sd = float(np.hypot(across.sd or 10.0, along.sd or 10.0))
        for is_doubled in said:
            said[is_doubled] += table[is_doubled].log_density(across.value - along.value, sd)
    return said


def weigh_scale(reading: Reading) -> dict[bool, float]:
    """Log likelihood of the print's size, by whether something scales it."""
    place = reading.placement
    if place is None:
        return {False: 0.0, True: 0.0}
    # Marks located to their residual over a sheet of at least 90 mm, the smallest there is.
    sd = 100 * (place.residual_um / 1000) / 90
    x, y = (100 * (scale - 1) for scale in (place.scale_x, place.scale_y))
    both = _density(x, float(np.hypot(_SCALED, sd))) * _density(y - x, float(np.hypot(_FED, sd) * np.sqrt(2)))
    one_way = [_density(far, float(np.hypot(_SCALED, sd))) * _fed(near, sd) for far, near in ((x, y), (y, x))]
    scaled = _BOTH * both + _ONE_WAY * sum(one_way)
    misread = _MISREAD * _density(x, _ANYTHING) * _density(y, _ANYTHING)
    true_to_size = _fed(x, sd) * _fed(y, sd)
    return {
        is_scaled: float(np.log(max((1 - _MISREAD) * density + misread, 1e-300)))
        for is_scaled, density in ((False, true_to_size), (True, scaled))
    }


def _fed(off: float, sd: float) -> float:
    """Density of a length's deviation where the feed alone is to blame."""
    well, badly = (_density(off, float(np.hypot(own, sd))) for own in (_FED, _FED_BADLY))
    return (1 - _BADLY) * well + _BADLY * badly


def _density(off: float, sd: float) -> float:
    return float(np.exp(-0.5 * (off / sd) ** 2) / (sd * np.sqrt(2 * np.pi)))
