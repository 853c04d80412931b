"""One print beside another: shares of a reference's range, chroma and volume, like with like; and of two trials which
settings differ, and what a single difference did.
"""

from __future__ import annotations

import numpy as np

from tackside.colour.gamut import HULL_METHOD
from tackside.messages.message import Message
from tackside.records import Trial
from tackside.records.verdict import Measure
from tackside.verdict.measures.measure import UNCOATED_CHROMA, number, spread

# Where both have it: the device solid by one method, else the hull, else the eight corners.
_VOLUMES = ("gamut_volume", "gamut_hull", "gamut_corners")

# In the measure's own unit (L*, C*ab, cubic ΔE*ab): far below what any reading can tell from none.
_NOTHING = 0.1


def shares(measures: dict[str, Measure], reference: dict[str, Measure]) -> dict[str, Measure]:
    """``share_l_range``, ``share_chroma`` and ``share_gamut_volume`` of the reference, 1 for as much.

    Both readings must be comparable. A share that would set unlike methods beside each other is left out.
    """
    found = {
        "share_l_range": _share(measures, reference, "l_range"),
        "share_chroma": _chroma(measures, reference),
    }
    for name in _VOLUMES:
        mine = _by_method(measures, name)
        theirs = [kin for other in _VOLUMES if (kin := _by_method(reference, other))]
        match = next((kin for kin in theirs if mine and kin.method == mine.method), None)
        if mine and match:
            found["share_gamut_volume"] = _ratio(mine, match, mine.method)
            break
    return {name: share for name, share in found.items() if share is not None}


def _by_method(measures: dict[str, Measure], name: str) -> Measure | None:
    found = measures.get(name)
    if (
        found is None and name == "gamut_hull"
    ):  # where the hull is the best there is, it stands under gamut_volume
        best = measures.get("gamut_volume")
        return best if best is not None and best.method == HULL_METHOD else None
    return found


def _share(measures: dict[str, Measure], reference: dict[str, Measure], name: str) -> Measure | None:
    mine, theirs = measures.get(name), reference.get(name)
    return _ratio(mine, theirs, mine.method) if mine and theirs else None


def _chroma(measures: dict[str, Measure], reference: dict[str, Measure]) -> Measure | None:
    """The mean chroma of the solids that both have."""
    names = [
        f"chroma_{name}"
        for name in UNCOATED_CHROMA
        if f"chroma_{name}" in measures and f"chroma_{name}" in reference
    ]
    if not names:
        return None
    sides = []
    for side in (measures, reference):
        values = [number(side, name) or 0.0 for name in names]
        sds = [spread(side, name) for name in names]
        # The shared deviation moves all solids alike, so their sds are averaged, not thinned out.
        sides.append(Measure(value=float(np.mean(values)), unit="C*ab", sd=float(np.mean(sds))))
    letters = ", ".join(name[-1].upper() for name in names)
    return _ratio(sides[0], sides[1], f"mean of the solids {letters}")


def _ratio(mine: Measure, theirs: Measure, method: str | None) -> Measure | None:
    """a / b; relative variances add (GUM 5.1.6), as if the two readings deviated independently.

    A reference that holds less than a tenth of a unit has nothing to take a share of.
    """
    if isinstance(mine.value, tuple) or isinstance(theirs.value, tuple):
        return None
    if theirs.value < _NOTHING or mine.value <= 0:
        return None
    share = mine.value / theirs.value
    # The sum of relative variances, times the share: written so that a small figure of mine divides nothing.
    sd = np.hypot((mine.sd or 0.0) / theirs.value, share * (theirs.sd or 0.0) / theirs.value)
    return Measure(value=share, unit="share", sd=float(sd), method=method)


# Settings compared, and the family of messages that names their values, where those are not the user's own words.
SETTINGS: dict[str, str | None] = {
    "media_setting": None,
    "quality": None,
    "colour_managed_by": "managed-by",
    "profile": None,
    "intent": "intent",
    "black_point_compensation": "compensation",
    "source_space": "space",
}
# Measures shown, as ``verdict.changed.…`` has them, with the smallest change worth telling.
_FIGURES = (
    ("black_l", "black", 1.0),
    ("grey_balance_mean", "greys", 0.7),
    ("line_gain", "lines", 8.0),
)


def differing(one: Trial, other: Trial) -> tuple[str, ...]:
    """Names of the settings, known of both, that differ; ``side`` and ``stock`` too."""
    names = [
        name
        for name in SETTINGS
        if None not in (getattr(one.settings, name), getattr(other.settings, name))
        and getattr(one.settings, name) != getattr(other.settings, name)
    ]
    names += [name for name in ("stock", "side", "printer") if getattr(one, name) != getattr(other, name)]
    return tuple(names)


def compared(
    one: Trial, other: Trial, measures: dict[str, Measure], reference: dict[str, Measure]
) -> tuple[Message, ...]:
    """What one setting did, where just one differs between two trials of the same side of the same card."""
    names = differing(one, other)
    if len(names) != 1 or names[0] not in SETTINGS:
        return ()
    name = names[0]
    changes = []
    for measure, changed, least in _FIGURES:
        here, there = number(measures, measure), number(reference, measure)
        if here is None or there is None:
            continue
        sd = max(spread(measures, measure), 0.1) if measure != "black_l" else 0.5
        if abs(here - there) >= max(least, 2 * sd):
            changes.append(Message(f"verdict.changed.{changed}", there=there, here=here))
    differs = {
        "setting": Message(f"verdict.setting.{name.replace('_', '-')}"),
        "there": value_of(other, name),
        "here": value_of(one, name),
    }
    if not changes:
        return (Message("verdict.only-setting-changed-nothing", **differs),)
    return (Message("verdict.only-setting", **differs, changes=changes),)


def value_of(trial: Trial, name: str) -> str | Message:
    value, family = getattr(trial.settings, name), SETTINGS[name]
    if family is None:
        return str(value)
    if isinstance(value, bool):
        value = "on" if value else "off"
    return Message(f"verdict.{family}.{value}")
