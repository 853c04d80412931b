"""From a reading to a verdict."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from tackside.errors import BadRequest
from tackside.records import Printer, Reading, Stock, Trial, Verdict
from tackside.records.verdict import GRADES, Grade, Measure, RuleOutcome
from tackside.verdict.causes.finding import Beside, Finding, find_causes
from tackside.verdict.causes.weigh import comparable, same_card_other_side
from tackside.verdict.explain.words import (
    GRADE_WORDS,
    cause_sentence,
    combined_sentences,
    limits,
    listed,
    share_sentence,
)
from tackside.verdict.grade.by_eye import by_eye_measures, grade_by_eye
from tackside.verdict.grade.grading import apply_rules, worst_grade
from tackside.verdict.measures.all import measure
from tackside.verdict.measures.compare import shares
from tackside.verdict.measures.paper import paper_classes, tint_words
from tackside.verdict.measures.patch_table import PatchTable, patch_table
from tackside.verdict.measures.solids import weakest_solid
from tackside.verdict.settings import compared

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import Foretold


def judge(
    reading: Reading,
    *,
    trial: Trial | None = None,
    stock: Stock | None = None,
    printer: Printer | None = None,
    reference: Reading | None = None,
    reference_trial: Trial | None = None,
    other_side: Reading | None = None,
    other_side_trial: Trial | None = None,
    foretold: Foretold | None = None,
    made_at: datetime | None = None,
) -> Verdict:
    """Measures, grade, causes and reasons of one reading.

    ``reference`` is ranked against only where both readings are comparable; else a notice says why not. So is
    ``other_side``, a reading of the same print on the card's other side. ``foretold``, what a profile says of the
    patches (``by_profile.foretell``), stands in for a reference print. A reading by eye needs no patches. Raises
    BadRequest where any other holds no black patch, or where both ``reference`` and ``foretold`` are given.
    """
    if reference is not None and foretold is not None:
        raise BadRequest("a verdict takes one reference", "give a print or a profile, not both")
    by_eye = reading.kind == "eye"
    table = None if by_eye else patch_table(reading, trial.sheet if trial else None)
    measures = by_eye_measures(reading) if table is None else measure(table, reading)
    measures |= weakest_solid(measures)
    outcomes = apply_rules(measures, path=trial is not None and trial.sheet.purpose == "path")
    grade = grade_by_eye(reading) if by_eye else worst_grade(outcomes)
    notices = [*reading.notices, *(table.notices if table else ())]
    estimate = reading.uncertainty.comparable_with != "colorimetric"
    if estimate:
        notices.append(_BY_EYE if by_eye else _FROM_A_SCAN)
    beside = (
        _beside_profile(reading, foretold, notices)
        if foretold is not None
        else _beside(reading, reference, reference_trial, notices)
    )
    if beside is not None:
        measures |= shares(measures, beside.measures)
        notices += _conditions_differ(reading, beside.reading)
    other = _beside(reading, other_side, other_side_trial, notices)
    if other is None and same_card_other_side(trial, reference_trial):
        other = beside
    found = find_causes(
        reading, table, measures, grade=grade, trial=trial, stock=stock, reference=beside, other_side=other
    )
    compared_with = (
        compared(trial, reference_trial, measures, beside.measures)
        if trial is not None and reference_trial is not None and beside is not None
        else ()
    )
    return Verdict(
        trial=reading.trial or (trial.id if trial else None),
        reading=reading.id,
        against=reference_trial.id if reference_trial else None,
        made_at=made_at or datetime.now(UTC),
        grade=grade,
        estimate=estimate,
        cause=found.cause,
        causes=found.causes,
        measures=measures,
        rules=outcomes,
        reasons=(
            *_reasons(grade, outcomes, measures, found, estimate, by_eye, foretold is not None),
            *compared_with,
            *((foretold.sentence,) if foretold is not None and beside is not None else ()),
        ),
        notices=tuple(dict.fromkeys((*notices, *found.notices))),
        evidence=found.evidence,
        next_steps=found.steps,
        combined=found.combined,
    )


_FROM_A_SCAN = (
    "The colours come from a scan with no reference of the same inks on the same kind of card, "
    "so the grade is an estimate; measure the sheet with an instrument to be sure."
)
_BY_EYE = "This rests on answers by eye alone: grade and causes are estimates; scan the sheet to be surer."
_NOT_ALIKE = (
    "The two readings come from different devices or settings, so they are not ranked and no "
    "shares are given; scan both sheets on one scanner with the same settings, at best in "
    "one scan."
)


def _beside(
    reading: Reading, other: Reading | None, trial: Trial | None, notices: list[str]
) -> Beside | None:
    """The other reading ready to be compared with; None, and a notice, where the two were not read alike."""
    if other is None or other.kind == "eye" or reading.kind == "eye":
        return None
    table = _reference_table(other, trial)
    if not comparable(reading, other):
        notices.append(_NOT_ALIKE)
        return None
    return Beside(other, table, measure(table, other), trial)


_NOT_COLORIMETRIC = (
    "A profile foretells colours as an instrument sees them, and this scanner's are its own, so the profile is not set "
    "beside the print: measure the sheet, or let the scanner learn your inks (tackside scanner learn)."
)


def _beside_profile(reading: Reading, foretold: Foretold, notices: list[str]) -> Beside | None:
    """The prediction ready to be compared with; None, and a notice, where the reading's colours are a scanner's own."""
    if not comparable(reading, foretold.reading):
        notices.append(_NOT_COLORIMETRIC)
        return None
    table = patch_table(foretold.reading)
    misused = {cause: tuple(map(patch_table, ways)) for cause, ways in foretold.misused.items()}
    return Beside(foretold.reading, table, measure(table, foretold.reading), None, foretold.spread, misused)


def _reference_table(reference: Reading, trial: Trial | None) -> PatchTable:
    try:
        return patch_table(reference, trial.sheet if trial else None)
    except BadRequest as error:
        raise BadRequest(f"the reference cannot be compared with: {error.what}", error.fix) from error


def _conditions_differ(one: Reading, other: Reading) -> list[str]:
    """ISO 13655: brightener shows under M1 and is cut out under M2, so whites and tints shift between them."""
    if one.condition is None or other.condition is None or one.condition == other.condition:
        return []
    return [
        f"One was measured under {one.condition}, the other under {other.condition}: brightened paper "
        "looks bluer under M1 than under M2. Shares of chroma and volume suffer a little; measure both "
        "alike."
    ]


def _reasons(
    grade: Grade,
    outcomes: tuple[RuleOutcome, ...],
    measures: dict[str, Measure],
    found: Finding,
    estimate: bool,
    by_eye: bool,
    by_profile: bool,
) -> tuple[str, ...]:
    """Sentences for a card maker: the grade, what holds it down first, then the rest."""
    source = "by eye" if by_eye else "from a scan"
    opening = f"An estimate {source}: {GRADE_WORDS[grade]}" if estimate else GRADE_WORDS[grade]
    worst_first = sorted(outcomes, key=lambda outcome: -GRADES.index(outcome.grade))
    said = [opening[0].upper() + opening[1:], *(outcome.sentence for outcome in worst_first)]
    if "paper_lab" in measures:
        said.append(_paper(measures))
    said += share_sentence(measures, "what the profile foretells" if by_profile else "the reference print")
    said += [cause_sentence(grade, found.causes), *combined_sentences(found.combined), *limits(found.causes)]
    if found.steps and found.causes[found.cause] < _SETTLED:
        said.append(f"Next: {found.steps[0].sentence}")
    return tuple(said)


# Above this probability a cause needs no further print.
_SETTLED = 0.9


def _paper(measures: dict[str, Measure]) -> str:
    paper = measures["paper_lab"]
    if not isinstance(paper.value, tuple):  # a measure of that name always is
        return ""
    lightness, a, b = paper.value
    classes = paper_classes(paper.value)
    like = f" ISO 12647-2 has such a white for {listed(classes)} paper." if classes else ""
    return f"The paper is {tint_words(paper.value)} (L*a*b* {lightness:.0f}, {a:.1f}, {b:.1f}).{like}"
