"""From a reading to a verdict."""

from __future__ import annotations

from datetime import UTC, datetime

from tackside.bench.records import Printer, Reading, Stock, Trial, Verdict
from tackside.bench.records.verdict import GRADES, Cause, Grade, Measure, RuleOutcome
from tackside.errors import BadRequest
from tackside.verdict.causes import comparable, likeliest, same_card_other_side, weigh_causes
from tackside.verdict.compare import shares
from tackside.verdict.grading import apply_rules, worst_grade
from tackside.verdict.measures import measure, number
from tackside.verdict.paper import paper_classes, tint_words
from tackside.verdict.roles import PatchTable, patch_table
from tackside.verdict.solids import weakest_solid
from tackside.verdict.words import GRADE_WORDS, cause_sentence, listed, share_sentence


def judge(
    reading: Reading,
    *,
    trial: Trial | None = None,
    stock: Stock | None = None,
    printer: Printer | None = None,
    reference: Reading | None = None,
    reference_trial: Trial | None = None,
    made_at: datetime | None = None,
) -> Verdict:
    """Measures, grade, causes and reasons of one reading.

    ``reference`` is ranked against only where both readings are comparable; else a notice says why not.
    Raises BadRequest where the reading holds no black patch.
    """
    table = patch_table(reading, trial.sheet if trial else None)
    measures = measure(table, reading)
    measures |= weakest_solid(measures)
    outcomes = apply_rules(measures, path=trial is not None and trial.sheet.purpose == "path")
    grade = worst_grade(outcomes)
    notices = [*reading.notices, *table.notices]
    estimate = reading.uncertainty.comparable_with != "colorimetric"
    if estimate:
        notices.append(
            "The colours come from a scan with no reference of the same inks on the same kind of card, "
            "so the grade is an estimate; measure the sheet with an instrument to be sure."
        )
    other_side = None
    if reference is not None:
        other = measure(_reference_table(reference, reference_trial), reference)
        if comparable(reading, reference):
            measures |= shares(measures, other)
            notices += _conditions_differ(reading, reference)
            if same_card_other_side(trial, reference_trial):
                other_side = (number(measures, "black_l") or 0.0) - (number(other, "black_l") or 0.0)
        else:
            notices.append(
                "The two readings come from different devices or settings, so they are not ranked and no "
                "shares are given; scan both sheets on one scanner with the same settings, at best in "
                "one scan."
            )
    causes = weigh_causes(measures, trial=trial, stock=stock, grade=grade, other_side=other_side)
    return Verdict(
        trial=reading.trial or (trial.id if trial else None),
        reading=reading.id,
        against=reference_trial.id if reference_trial else None,
        made_at=made_at or datetime.now(UTC),
        grade=grade,
        estimate=estimate,
        cause=likeliest(causes),
        causes=causes,
        measures=measures,
        rules=outcomes,
        reasons=_reasons(grade, outcomes, measures, causes, estimate),
        notices=tuple(dict.fromkeys(notices)),
    )


def _reference_table(reference: Reading, trial: Trial | None) -> PatchTable:
    try:
        return patch_table(reference, trial.sheet if trial else None)
    except BadRequest as error:
        raise BadRequest(f"the reference cannot be compared with: {error.what}", error.mend) from error


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
    causes: dict[Cause, float],
    estimate: bool,
) -> tuple[str, ...]:
    """Sentences for a card maker: the grade, what holds it down first, then the rest."""
    opening = f"An estimate from a scan: {GRADE_WORDS[grade]}" if estimate else GRADE_WORDS[grade]
    worst_first = sorted(outcomes, key=lambda outcome: -GRADES.index(outcome.grade))
    said = [
        opening[0].upper() + opening[1:],
        *(outcome.sentence for outcome in worst_first),
        _paper(measures),
    ]
    said += share_sentence(measures)
    said.append(cause_sentence(grade, causes))
    return tuple(said)


def _paper(measures: dict[str, Measure]) -> str:
    paper = measures["paper_lab"]
    if not isinstance(paper.value, tuple):  # a measure of that name always is
        return ""
    lightness, a, b = paper.value
    classes = paper_classes(paper.value)
    like = f" ISO 12647-2 has such a white for {listed(classes)} paper." if classes else ""
    return f"The paper is {tint_words(paper.value)} (L*a*b* {lightness:.0f}, {a:.1f}, {b:.1f}).{like}"
