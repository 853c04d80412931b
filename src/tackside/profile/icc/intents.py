"""Which rendering intents have tables of their own, which repeat one another, and how well each comes back.

A round trip takes device values to colours, those to device values and these to colours again: the ΔE00 between
the two colours is what the profile's two directions disagree by. Colours of the first step can all be printed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.profile.icc.inspect import contents, read_tags
from tackside.profile.link.convert import (
    INTENTS,
    can_export,
    device_to_lab_by_profile,
    lab_to_device_by_profile,
)

SAME_DEVICE = 1 / 255  # two tables whose device values differ by less are one for an 8-bit printer
SAME_COLOURS = 0.1  # ΔE00, 95th percentile: below what anything can show
SIDE = {1: 65, 3: 11, 4: 7}  # of the device grid sent round


@dataclass(frozen=True)
class TableUse:
    """How one intent gets from device values to colours, or back.

    ``tag`` is the table used, None where there is none and the profile works by primaries and curves. ``repeats``
    names an earlier intent with the same result, ``exact`` says that it is byte for byte the same.
    """

    tag: str | None
    repeats: str | None
    exact: bool


@dataclass(frozen=True)
class IntentUse:
    """One intent: its two directions, and the round trip in ΔE00 (None where there is no way back)."""

    intent: str
    to_colours: TableUse
    to_device: TableUse | None
    round_trip_median: float | None
    round_trip_p95: float | None


def device_grid(channels: int) -> Floats:
    """Device values (n, channels), evenly spread over the whole device cube, its corners included."""
    axis = np.linspace(0, 1, SIDE[channels])
    return np.stack(np.meshgrid(*[axis] * channels, indexing="ij"), axis=-1).reshape(-1, channels)


def intent_uses(profile: bytes, channels: int) -> tuple[IntentUse, ...]:
    """All four intents of a usable profile, in the standard's order."""
    device = device_grid(channels)
    colours = {intent: device_to_lab_by_profile(device, profile, intent=intent) for intent in INTENTS}
    returns = can_export(profile)
    # The same colours are asked of every intent, so that the answers compare.
    asked = colours["relative"]
    answers = (
        {intent: lab_to_device_by_profile(asked, profile, intent) for intent in INTENTS} if returns else {}
    )
    uses = []
    for number, intent in enumerate(INTENTS):
        trip = _round_trip(profile, intent, colours[intent]) if returns else None
        uses.append(
            IntentUse(
                intent,
                _use(profile, "A2B", number, colours),
                _use(profile, "B2A", number, answers) if returns else None,
                None if trip is None else float(np.median(trip)),
                None if trip is None else float(np.percentile(trip, 95)),
            )
        )
    return tuple(uses)


def _round_trip(profile: bytes, intent: str, colours: Floats) -> Floats:
    back = lab_to_device_by_profile(colours, profile, intent)
    return delta_e_2000(colours, device_to_lab_by_profile(back, profile, intent=intent))


def _use(profile: bytes, way: str, number: int, results: dict[str, Floats]) -> TableUse:
    held = contents(read_tags(profile))
    tag = table_of(held, way, number)
    for earlier, intent in enumerate(INTENTS[:number]):
        other = table_of(held, way, earlier)
        if INTENTS[number] == "absolute" and intent != "relative":
            continue  # absolute is relative with the media white put back, whatever others do
        if INTENTS[number] == "absolute" or tag == other or (tag and other and held[tag] == held[other]):
            return TableUse(tag, intent, exact=True)
        if _same(way, results[INTENTS[number]], results[intent]):
            return TableUse(tag, intent, exact=False)
    return TableUse(tag, None, exact=False)


def table_of(held: dict[str, memoryview], way: str, number: int) -> str | None:
    """The tag that LittleCMS takes for an intent: its own, else the perceptual one, else (None) the primaries."""
    wanted = f"{way}{1 if number == 3 else number}"
    return next((tag for tag in (wanted, f"{way}0", f"{way}1") if tag in held), None)


def _same(way: str, one: Floats, other: Floats) -> bool:
    if way == "B2A":
        return bool(np.percentile(np.abs(one - other).max(axis=1), 95) < SAME_DEVICE)
    return bool(np.percentile(delta_e_2000(one, other), 95) < SAME_COLOURS)
