"""Which trials may be ranked against each other, in what order, and the answer in a sentence.

Two readings are compared only where they were read alike (``Reading.is_read_like``) and printed from the same kind of
sheet (purpose and source space). One source reports that six scanners and cameras gave drastically different figures
for the same prints (docs/sources.md, S45).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tackside.records import GRADES, Grade, Verdict
from tackside.report.alike import read_alike
from tackside.report.entry import Entry
from tackside.report.published import published
from tackside.report.words import GRADE_SAYS, NOT_THE_CARD, listed, percent
from tackside.verdict.explain.words import cause_named


@dataclass(frozen=True)
class Ranked:
    """An entry in its group: its name there, and its place (``1``, ``2=`` …)."""

    entry: Entry
    label: str
    place: str


@dataclass(frozen=True)
class ComparableTrials:
    """Entries that may be compared, best first."""

    ranked: tuple[Ranked, ...]


def groups_of(entries: Sequence[Entry]) -> tuple[ComparableTrials, ...]:
    """The entries by what may be compared, in the order in which each group first appears."""
    labels, places = labels_of(entries), {id(entry): place for place, entry in enumerate(entries)}
    found = []
    for members in read_alike(entries, _sheet):
        indices = [places[id(entry)] for entry in members]
        order = sorted(indices, key=lambda i: (_grade_index(entries[i]), -_volume(entries[i]), labels[i]))
        grades = [entries[i].verdict.grade for i in order]
        ranked = tuple(Ranked(entries[i], labels[i], _place(grades, n)) for n, i in enumerate(order))
        found.append(ComparableTrials(ranked))
    return tuple(found)


def labels_of(entries: Sequence[Entry]) -> list[str]:
    """A name for each entry: the stock's, with side, printer, media setting or trial id where the names
    clash.
    """
    details: tuple[Callable[[Entry], str], ...] = (
        lambda entry: f"{entry.trial.side} side",
        lambda entry: entry.printer.name,
        lambda entry: entry.trial.settings.media_setting or "no media setting noted",
        lambda entry: entry.trial.id,
    )
    names: list[tuple[str, ...]] = [(entry.stock.name,) for entry in entries]
    for detail in details:
        for name in {name for name in names if names.count(name) > 1}:
            members = [i for i, other in enumerate(names) if other == name]
            if len({detail(entries[i]) for i in members}) > 1:
                for i in members:
                    names[i] = (*name, detail(entries[i]))
    return [stock if not more else f"{stock} ({', '.join(more)})" for stock, *more in names]


def answer(group: ComparableTrials) -> tuple[str, ...]:
    """Which card to use and which not, and what no print has settled yet: two sentences at most, each in parts."""
    settled = [
        one for one in group.ranked if not (clears_the_card(one.entry.verdict) or _is_open(one.entry.verdict))
    ]
    by_grade = {grade: [one.label for one in settled if one.entry.verdict.grade == grade] for grade in GRADES}
    best = next((grade for grade in GRADES if by_grade[grade]), None)
    parts = []
    if len(group.ranked) > 1 and best in ("send", "draft", "reject"):
        parts = [f"None of these is {'fit to sell' if best == 'send' else 'good enough to give away'}"]
    for grade in GRADES:
        if by_grade[grade]:
            parts.append(_said_of(grade, by_grade[grade], begins=not parts))
    doubts: list[str] = []
    for one in group.ranked:
        if one not in settled:
            doubts.append(_doubt(one, begins=not doubts))
    return tuple(f"{'; '.join(said)}." for said in (parts, doubts) if said)


def clears_the_card(verdict: Verdict) -> bool:
    """Whether the fault more likely than not lies elsewhere (side, settings, printer), so that the card is not judged.

    Where the likeliest single cause is the card, it is never cleared, whatever the others add up to.
    """
    return verdict.cause in NOT_THE_CARD and _elsewhere(verdict) > 0.5


def _is_open(verdict: Verdict) -> bool:
    """Whether the faults that are not the card's outweigh it only together, and the print disappoints."""
    return verdict.grade != "sell" and verdict.cause not in NOT_THE_CARD and _elsewhere(verdict) > 0.5


def _elsewhere(verdict: Verdict) -> float:
    return sum(chance for cause, chance in verdict.causes.items() if cause in NOT_THE_CARD)


def is_unsettled(verdict: Verdict) -> bool:
    """Whether another print must come before anything is said of the card."""
    return verdict.grade != "sell" and (clears_the_card(verdict) or _is_open(verdict))


def _doubt(ranked: Ranked, *, begins: bool) -> str:
    """What stands between a print and its verdict, as a part of a sentence, or its beginning."""
    verdict, cause = ranked.entry.verdict, published(cause_named(ranked.entry.verdict.cause))
    if _is_open(verdict):
        whether = "Whether" if begins else "whether"
        fault = f"{whether} {ranked.label} or the way it was printed is at fault is open"
        return f"{fault}: print it again before you decide"
    if verdict.grade == "sell":
        return f"{ranked.label} {GRADE_SAYS['sell']} all the same; to look into: {cause}"
    if verdict.cause == "side":
        turn = "Turn" if begins else "turn"
        return f"{turn} {ranked.label} over and print again: this side is most likely the one with no coating"
    return f"{_do_not(begins)} judge {ranked.label} by this print yet: the likeliest cause is {cause}"


def _do_not(begins: bool) -> str:
    return "Do not" if begins else "do not"


def predicate(ranked: Ranked) -> str:
    """One entry's verdict and its chief figures, in sentences that begin with its label."""
    verdict = ranked.entry.verdict
    said = f"{GRADE_SAYS[verdict.grade]}{_evidence(verdict)}"
    if verdict.cause == "none":
        return f"{said}."
    chance = verdict.causes.get(verdict.cause)
    sure = f" ({percent(chance)})" if chance is not None else ""
    return f"{said}. The likeliest cause is {published(cause_named(verdict.cause))}{sure}."


def _evidence(verdict: Verdict) -> str:
    """The two figures that tell coated from uncoated: how deep black goes, and how much colour there is."""
    black, volume = (verdict.measures.get(name) for name in ("black_l", "gamut_volume"))
    figures = []
    if black is not None and isinstance(black.value, (int, float)):
        figures.append(f"black at L* {black.value:.0f}")
    if volume is not None and isinstance(volume.value, (int, float)):
        figures.append(f"{volume.value / 1000:.0f} thousand cubic units of colour")
    return f": {' and '.join(figures)}" if figures else ""


def _said_of(grade: Grade, names: list[str], *, begins: bool) -> str:
    many = len(names) > 1
    return {
        "sell": f"Print cards for sale on {listed(names)}",
        "send": f"{listed(names)} {'are' if many else 'is'} good enough to send",
        "draft": f"{listed(names)} will do for drafts",
        "reject": f"{_do_not(begins)} print on {listed(names)}",
    }[grade]


def _sheet(entry: Entry) -> tuple[str, str]:
    return entry.trial.sheet.purpose, entry.trial.sheet.space or "device"


def _grade_index(entry: Entry) -> int:
    return GRADES.index(entry.verdict.grade)


def _volume(entry: Entry) -> float:
    """Gamut volume, to order equals for the eye; it gives no place of its own."""
    measure = entry.verdict.measures.get("gamut_volume")
    return float(measure.value) if measure and isinstance(measure.value, (int, float)) else 0.0


def _place(grades: list[Grade], index: int) -> str:
    grade = grades[index]
    place = grades.index(grade) + 1
    return f"{place}=" if grades.count(grade) > 1 else str(place)
