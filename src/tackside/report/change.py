"""The same card tried again: what changed since, told apart from what reading alone would show.

Two trials are compared where stock, side, printer and media setting are the same and both were read alike. A figure has
drifted where it moved by more than ``SURE`` joint standard uncertainties; patches have where their median
ΔE00 is more than ``SURE`` times what the two readings' uncertainties alone would bring about.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.records import Measure, Reading
from tackside.report import facts
from tackside.report.alike import read_alike
from tackside.report.entry import Entry
from tackside.report.figures import figure
from tackside.report.labels import MEASURES, measure_label
from tackside.report.published import published

SURE = 3.0
PERHAPS = 2.0
LEAST_PATCHES = 8

Finding = Literal["drift", "perhaps", "noise"]
FINDING_SAYS: dict[Finding, str] = {
    "drift": "changed",
    "perhaps": "may have changed",
    "noise": "no more than reading alone shows",
}


@dataclass(frozen=True)
class FigureChange:
    """One figure then and now; ``sigmas`` is how many joint standard uncertainties it moved by, with its sign."""

    label: str
    before: str
    after: str
    sigmas: float
    finding: Finding


@dataclass(frozen=True)
class Change:
    """What became of a card between two trials."""

    heading: str
    period: str
    sentence: str
    finding: Finding
    figures: tuple[FigureChange, ...]
    patches: int
    de00_median: float | None
    de00_expected: float


def changes(entries: Sequence[Entry]) -> tuple[Change, ...]:
    """Each trial beside the one before it of the same card, side, printer and setting, oldest first."""
    found = []
    for members in read_alike(entries, _card_and_way):
        ordered = sorted(members, key=lambda one: (one.reading.made_at, one.trial.id))
        found += [change(before, after) for before, after in pairwise(ordered)]
    return tuple(found)


def change(before: Entry, after: Entry) -> Change:
    """What changed from one trial to another that was read alike."""
    figures = _figures(before, after)
    median, count, lighter, more_vivid = _patches(before.reading, after.reading)
    expected = expected_median(before.reading.uncertainty.de00, after.reading.uncertainty.de00)
    finding = _finding(median / expected if median is not None and expected > 0 else 0.0)
    if finding == "noise" and any(one.finding == "drift" for one in figures):
        finding = "drift"
    return Change(
        heading=f"{after.stock.name}, {after.trial.side} side, on the {after.printer.name}",
        period=f"{facts.day(before.reading.made_at)} to {facts.day(after.reading.made_at)}",
        sentence=_sentence(finding, median, expected, lighter, more_vivid, figures),
        finding=finding,
        figures=figures,
        patches=count,
        de00_median=median,
        de00_expected=expected,
    )


def expected_median(one: float, other: float) -> float:
    """The median ΔE00 of two readings of an unchanged print, from their standard uncertainties in ΔE00.

    Each reading is off by its own amount, in some direction of a colour space with three axes: the difference is of
    the Maxwell kind, whose median is 1.5382 of the deviation on each axis, and that is the whole over √3.
    """
    return 1.5382 * math.hypot(one, other) / math.sqrt(3)


def _card_and_way(entry: Entry) -> tuple[str, ...]:
    trial = entry.trial
    return (
        trial.stock, trial.side, trial.printer, trial.settings.media_setting or "", trial.sheet.purpose,
        trial.sheet.space or "",
    )  # fmt: skip


def _finding(sigmas: float) -> Finding:
    if abs(sigmas) > SURE:
        return "drift"
    return "perhaps" if abs(sigmas) > PERHAPS else "noise"


def _figures(before: Entry, after: Entry) -> tuple[FigureChange, ...]:
    found = []
    for name in MEASURES:
        then, now = before.verdict.measures.get(name), after.verdict.measures.get(name)
        if not _plain(then) or not _plain(now) or then is None or now is None or then.method != now.method:
            continue
        assert isinstance(then.value, (int, float))
        assert isinstance(now.value, (int, float))
        joint = math.hypot(then.sd or 0, now.sd or 0)
        sigmas = (now.value - then.value) / joint
        shown = [" ± ".join(filter(None, figure(each.value, each.sd, each.unit))) for each in (then, now)]  # type: ignore[arg-type]
        found.append(
            FigureChange(published(measure_label(name)), shown[0], shown[1], sigmas, _finding(sigmas))
        )
    return tuple(found)


def _plain(measure: Measure | None) -> bool:
    return measure is not None and bool(measure.sd) and isinstance(measure.value, (int, float))


def _patches(before: Reading, after: Reading) -> tuple[float | None, int, float, float]:
    """Median ΔE00 of the patches in both, how many, and the mean change in lightness and in chroma."""
    then = {patch.name: patch for patch in before.patches}
    both = [(then[patch.name], patch) for patch in after.patches if patch.name in then]
    pairs = [(one.lab, other.lab) for one, other in both if one.rgb == other.rgb]
    if len(pairs) < LEAST_PATCHES:
        return None, len(pairs), 0.0, 0.0
    first, second = np.array([pair[0] for pair in pairs]), np.array([pair[1] for pair in pairs])
    chroma = np.hypot(second[:, 1], second[:, 2]) - np.hypot(first[:, 1], first[:, 2])
    median = float(np.median(delta_e_2000(first, second)))
    return median, len(pairs), float(np.mean(second[:, 0] - first[:, 0])), float(np.mean(chroma))


def _sentence(
    finding: Finding,
    median: float | None,
    expected: float,
    lighter: float,
    more_vivid: float,
    figures: Sequence[FigureChange],
) -> str:
    if median is None:
        head = "Too few patches are the same to compare colours"
    else:
        head = f"The patches differ by ΔE00 {median:.1f} in the middle case; reading alone would show {expected:.1f}"
    if finding == "noise":
        return f"{head}. That is no sign of a change."
    ways = []
    if median is not None and abs(lighter) >= expected / 2:
        ways.append("lighter" if lighter > 0 else "darker")
    if median is not None and abs(more_vivid) >= expected / 2:
        ways.append("more vivid" if more_vivid > 0 else "duller")
    moved = [one.label.split(",")[0].lower() for one in figures if one.finding == "drift"]
    tail = f" The print is {' and '.join(ways)} than before." if ways else ""
    tail += f" Moved for certain: {', '.join(moved)}." if moved else ""
    verb = (
        "The print has changed."
        if finding == "drift"
        else "It may have changed; read it once more to be sure."
    )
    return f"{head}. {verb}{tail}"
