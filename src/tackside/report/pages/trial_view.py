"""One trial in full: verdict, reasons, patches, card, settings, reading."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from tackside.report import facts
from tackside.report.entry import Entry
from tackside.report.facts import Fact
from tackside.report.labels import measure_label
from tackside.report.patches import PatchPairs
from tackside.report.plots.patch_grid import patch_grid
from tackside.report.plots.wedge import wedge
from tackside.report.published import published
from tackside.report.ranking import Ranked, predicate
from tackside.report.words import GRADE_MEANS, full_sentence, percent
from tackside.verdict.explain.words import cause_named


@dataclass(frozen=True)
class RuleView:
    """``source`` is the number under which the page names where the rule comes from."""

    name: str
    grade: str
    source: int


@dataclass(frozen=True)
class TrialView:
    """One trial in full."""

    anchor: str
    label: str
    subtitle: str
    grade: str
    meaning: str
    wedge: Markup
    estimate: bool
    predicate: str
    reasons: tuple[str, ...]
    notices: tuple[str, ...]
    causes: tuple[Fact, ...]
    rules: tuple[RuleView, ...]
    patches: Markup | None
    patches_said: str
    settings: tuple[Fact, ...]
    card: tuple[Fact, ...]
    reading: tuple[Fact, ...]


def notices_of(entry: Entry) -> tuple[str, ...]:
    """What is to be known of a reading and its verdict, each thing once."""
    return tuple(dict.fromkeys(map(full_sentence, (*entry.verdict.notices, *entry.reading.notices))))


def sources_of(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Where the rules of all verdicts come from, each once, in the order in which they are met."""
    return tuple(
        dict.fromkeys(full_sentence(rule.source) for entry in entries for rule in entry.verdict.rules)
    )


def trial_view(
    ranked: Ranked, anchors: dict[str, str], table: PatchPairs, shared: Container[str], sources: Sequence[str]
) -> TrialView:
    """Everything that the page says of one trial; ``shared`` notices the page says for all, ``sources`` by number."""
    entry = ranked.entry
    verdict = entry.verdict
    chances = sorted(verdict.causes.items(), key=lambda item: -item[1])
    return TrialView(
        anchor=anchors[entry.trial.id],
        label=ranked.label,
        subtitle=(
            f"Its {entry.trial.side}, printed by {entry.printer.name} on {facts.day(entry.trial.made_at)}; "
            f"trial {entry.trial.id}"
        ),
        grade=verdict.grade,
        meaning=GRADE_MEANS[verdict.grade],
        wedge=Markup(wedge(verdict.grade)),
        estimate=verdict.estimate,
        predicate=predicate(ranked),
        reasons=tuple(map(published, verdict.reasons)),
        notices=tuple(each for each in notices_of(entry) if each not in shared),
        causes=tuple(
            Fact(published(cause_named(cause)), percent(chance))
            for cause, chance in chances
            if chance >= 0.05
        ),
        rules=tuple(
            RuleView(
                published(measure_label(rule.rule)), rule.grade, sources.index(full_sentence(rule.source)) + 1
            )
            for rule in verdict.rules
        ),
        patches=Markup(patch_grid(table.pairs, ranked.label)) if table.pairs else None,
        patches_said=_patches_said(table),
        settings=facts.settings(entry),
        card=facts.card(entry),
        reading=facts.reading(entry),
    )


def _patches_said(table: PatchPairs) -> str:
    if not table.pairs:
        return "The reading names no device numbers, so its patches cannot be laid beside their aims."
    parts = []
    if table.de00_median is not None and table.de00_p95 is not None:
        parts.append(
            f"Print and aim differ by ΔE00 {table.de00_median:.1f} in the middle case and "
            f"{table.de00_p95:.1f} at the "
            "95th percentile."
        )
    if table.outside:
        parts.append(
            f"{table.outside} of {len(table.pairs)} printed colours lie outside sRGB and are shown at its "
            "edge."
        )
    return " ".join(parts)
