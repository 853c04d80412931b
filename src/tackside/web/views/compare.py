"""Trials side by side: what differs, in sentences and as dots; two scans laid over each other in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from tackside.records import Measure
from tackside.report.entry import Entry
from tackside.report.figures import figure
from tackside.report.labels import UNIT_IN_LABEL, measure_label
from tackside.report.pages.plots_view import PlotsView, plots_view
from tackside.report.plots.series import STYLES
from tackside.report.ranking import groups_of, labels_of
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.web.views.scan import found_in, sources_of
from tackside.web.workbench import Workbench
from tackside.workflow.prepared.scan_view import is_ready, place_of
from tackside.workflow.report import entry_of

MOST = 12
# Measures that are drawn, and the sentence of a difference that is more than chance: more, less.
TOLD: dict[str, tuple[str, str]] = {
    "black_l": (
        _("%(one)s has the weaker black: L* %(more)s against %(less)s for %(other)s."),
        _("%(one)s has the deeper black: L* %(less)s against %(more)s for %(other)s."),
    ),
    "l_range": (
        _("%(one)s spans more from white to black: %(more)s L* against %(less)s for %(other)s."),
        "",
    ),
    "gamut_volume": (
        _("%(one)s holds %(percent)s %% more colours than %(other)s."),
        "",
    ),
    "grey_balance_mean": (
        _("%(one)s tints greys more: %(more)s off their aim on average against %(less)s for %(other)s."),
        "",
    ),
}
DRAWN = ("black_l", "dmax", "l_range", "gamut_volume", "grey_balance_mean", "shadow_opens_at", "size_error")
# Two standard uncertainties of a difference: less than that may be chance.
SURE = 2.0


@dataclass(frozen=True)
class Dot:
    """One trial's figure on a scale from 0 to 100; ``low`` and ``high`` are one standard uncertainty either way."""

    label: str
    style: int
    at: float
    low: float
    high: float
    value: str


@dataclass(frozen=True)
class DotPlot:
    label: str
    unit: str
    dots: tuple[Dot, ...]


@dataclass(frozen=True)
class Layer:
    """A print in the split view, placed in millimetres of its sheet."""

    label: str
    base: str
    width: int
    height: int
    levels: int
    tile_px: int
    matrix: str
    sheet_mm: tuple[float, float]


@dataclass(frozen=True)
class CompareGroup:
    """Trials that may be ranked against each other."""

    labels: tuple[str, ...]
    sentences: tuple[str, ...]
    dots: tuple[DotPlot, ...]
    plots: PlotsView


@dataclass(frozen=True)
class CompareView:
    entries: tuple[Entry, ...]
    labels: tuple[str, ...]
    groups: tuple[CompareGroup, ...]
    layers: tuple[Layer, ...]
    unseen: tuple[str, ...]


def compare_view(workbench: Workbench, ids: Sequence[str], person: Person) -> CompareView:
    """Everything the page shows of two trials or more."""
    entries = tuple(entry_of(workbench.bench, each) for each in dict.fromkeys(ids[:MOST]))
    labels = labels_of(entries)
    layers = [_layer(workbench, entry, label) for entry, label in zip(entries, labels, strict=True)]
    return CompareView(
        entries=entries,
        labels=tuple(labels),
        groups=tuple(
            CompareGroup(
                labels=tuple(each.label for each in group.ranked),
                sentences=_sentences([(each.label, each.entry) for each in group.ranked], person),
                dots=_dots([(each.label, each.entry) for each in group.ranked], person),
                plots=plots_view(group.ranked[:STYLES], person.wording),
            )
            for group in groups_of(entries)
        ),
        layers=tuple(each for each in layers if each is not None),
        unseen=tuple(label for label, layer in zip(labels, layers, strict=True) if layer is None),
    )


def _sentences(group: Sequence[tuple[str, Entry]], person: Person) -> tuple[str, ...]:
    """Differences that are more than chance, between neighbours of a small group."""
    said: list[str] = []
    for (one, mine), (other, theirs) in combinations(group[:4], 2):
        for name, (more, less) in TOLD.items():
            a, b = mine.verdict.measures.get(name), theirs.verdict.measures.get(name)
            if a is None or b is None or isinstance(a.value, tuple) or isinstance(b.value, tuple):
                continue
            if a.method != b.method or abs(a.value - b.value) <= SURE * _spread(a, b):
                continue
            said.append(_sentence(person, (one, a.value), (other, b.value), more, less))
    return tuple(said)


def _sentence(person: Person, one: tuple[str, float], other: tuple[str, float], more: str, less: str) -> str:
    high, low = (one, other) if one[1] > other[1] else (other, one)
    percent = round(100 * (high[1] / low[1] - 1)) if low[1] > 0 else 0
    figures = {"more": person.fixed(high[1], 1), "less": person.fixed(low[1], 1), "percent": percent}
    if less and one is low:  # told of the one that is better
        return person.say(less, one=low[0], other=high[0], **figures)
    return person.say(more, one=high[0], other=low[0], **figures)


def _spread(a: Measure, b: Measure) -> float:
    return float(((a.sd or 0.0) ** 2 + (b.sd or 0.0) ** 2) ** 0.5)


def _dots(group: Sequence[tuple[str, Entry]], person: Person) -> tuple[DotPlot, ...]:
    made = [_dot_plot(name, group, person) for name in DRAWN]
    return tuple(each for each in made if each is not None)


def _dot_plot(name: str, group: Sequence[tuple[str, Entry]], person: Person) -> DotPlot | None:
    found: list[tuple[str, int, float, float, str]] = []
    unit = ""
    for place, (label, entry) in enumerate(group[:STYLES]):
        one = entry.verdict.measures.get(name)
        if one is None or isinstance(one.value, tuple):
            continue
        unit = one.unit
        shown, _sd = figure(one.value, one.sd)
        shown = person.pointed(shown)
        found.append((label, place + 1, one.value, one.sd or 0.0, shown))
    if not found:
        return None
    low, high = min(v - s for _, _, v, s, _ in found), max(v + s for _, _, v, s, _ in found)
    room = (high - low) * 0.12 or max(abs(high) * 0.1, 1.0)
    low, high = low - room, high + room

    def at(value: float) -> float:
        return 100 * (value - low) / (high - low)

    hidden = unit in ("share", "device", "CIELAB", "D") or name in UNIT_IN_LABEL
    return DotPlot(
        label=person.tell(measure_label(name)),
        unit="" if hidden else unit,
        dots=tuple(Dot(who, style, at(v), at(v - s), at(v + s), shown) for who, style, v, s, shown in found),
    )


def _layer(workbench: Workbench, entry: Entry, label: str) -> Layer | None:
    for source in sources_of(entry.reading):
        place = place_of(workbench.bench.folder / "cache", source.sha256, entry.trial.id)
        if is_ready(place):
            found = found_in(place)
            return Layer(
                label=label,
                base=f"/trials/{entry.trial.id}/scans/{source.sha256}",
                width=found["size_px"][0],
                height=found["size_px"][1],
                levels=found["levels"],
                tile_px=found["tile_px"],
                matrix=f"matrix({' '.join(f'{value:.9g}' for value in found['px_to_mm'])})",
                sheet_mm=(found["sheet_mm"][0], found["sheet_mm"][1]),
            )
    return None
