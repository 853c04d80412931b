"""From what is known of a print to a verdict on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records import Reading, Trial, Verdict
from tackside.records.verdict import GRADES, Grade, Measure, RuleOutcome
from tackside.verdict.causes.finding import Beside, Finding, find_causes
from tackside.verdict.causes.weigh import UNTOLD_DE00, differences, same_card_other_side, widened
from tackside.verdict.explain.words import (
    Source,
    cause_reason,
    combined_reasons,
    grade_reason,
    limits,
    paper_reason,
    share_reason,
)
from tackside.verdict.grade.by_eye import by_eye_measures, grade_by_eye, require_enough_answers
from tackside.verdict.grade.grading import (
    apply_rules,
    close_grades,
    light_strays_over,
    management_outcome,
    taken_apart,
    worst_grade,
)
from tackside.verdict.known_print import KnownPrint, Printed, what_was_printed
from tackside.verdict.measures.compare import compared, shares
from tackside.verdict.measures.measure import measure, weakest_solid
from tackside.verdict.measures.patch_table import PatchTable, patch_table
from tackside.verdict.measures.path import cube_levels, path_measures

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import Prediction


def judge(known: KnownPrint, *, made_at: datetime | None = None) -> Verdict:
    """Measures, grade, causes and reasons of one print.

    Its ``reference`` is ranked against only where both readings are comparable; else a notice says why not. So is its
    ``other_side``. A reading by eye needs no patches. Raises BadRequest where any other holds no black patch, or where
    both a reference and a prediction are given.
    """
    return judge_with_finding(known, made_at=made_at)[0]


def judge_with_finding(known: KnownPrint, *, made_at: datetime | None = None) -> tuple[Verdict, Finding]:
    """As ``judge``, with what its causes were weighed from."""
    if known.reference is not None and known.prediction is not None:
        raise BadRequest("verdict.two-references")
    reading, trial = known.reading, known.trial
    by_eye = reading.kind == "eye"
    if by_eye:
        require_enough_answers(reading)
    table = None if by_eye else patch_table(reading, trial.sheet if trial else None)
    printed = what_was_printed(trial, known.stock, 0 if table is None else cube_levels(table))
    if table is None:
        measures = by_eye_measures(reading)
        measures |= weakest_solid(measures)
    else:
        measures = _measured(table, reading, printed)
    outcomes = apply_rules(measures, printed)
    by_rules = None if by_eye else worst_grade(outcomes)
    notices = [*reading.notices, *(table.notices if table else ())]
    source: Source | None = None
    if reading.uncertainty.comparable_with != "colorimetric":
        source = "by-eye" if by_eye else "from-a-photo" if reading.kind == "photo" else "from-a-scan"
        notices.append(Message(f"verdict.{source}"))
    beside = (
        _beside_profile(reading, known.prediction, notices)
        if known.prediction is not None
        else _beside(reading, known.reference, notices)
    )
    weighed = known
    if beside is not None:
        mine = measures
        if known.prediction is None and not reading.is_read_like(
            beside.reading
        ):  # nobody knows whether read alike
            wide = widened(reading)
            if beside.is_good:
                weighed = replace(known, reading=wide)
            mine = measure(patch_table(wide, trial.sheet if trial else None), wide)
        measures |= shares(mine, beside.measures)
        notices += _conditions_differ(reading, beside.reading)
    other = _beside(reading, known.other_side, notices, is_side=True)
    reference_trial = known.reference.trial if known.reference is not None else None
    if other is None and beside is not None and same_card_other_side(trial, reference_trial):
        other = beside if reading.is_read_like(beside.reading) else None
    found = find_causes(weighed, table, measures, grade=by_rules, reference=beside, other_side=other)
    if by_rules is None:
        grade = grade_by_eye(reading, printed, found.causes)
    else:
        printed = replace(printed, lifted=light_strays_over(reading, found.causes, found.cause))
        outcomes = (*apply_rules(measures, printed), *management_outcome(printed, found.causes, found.cause))
        grade = worst_grade(outcomes)
    card, path = (None, None) if by_eye else taken_apart(printed, measures, outcomes, found.cause)
    verdict = Verdict(
        trial=reading.trial or (trial.id if trial else None),
        reading=reading.id,
        against=reference_trial.id if reference_trial else None,
        other_side=known.other_side.trial.id if known.other_side and known.other_side.trial else None,
        made_at=made_at or datetime.now(UTC),
        grade=grade,
        close_to=()
        if table is None
        else close_grades(_doubted(table, reading, measures, printed), printed, outcomes),
        estimate=source is not None,
        cause=found.cause,
        causes=found.causes,
        measures=measures,
        rules=outcomes,
        reasons=(
            grade_reason(grade, source),
            *_of_rules(outcomes),
            *paper_reason(measures),
            *share_reason(measures, "print" if known.prediction is None else "profile"),
            *_of_causes(grade, found),
            *_of_settings(trial, reference_trial, measures, beside),
            *(known.prediction.sentences if known.prediction is not None and beside is not None else ()),
        ),
        notices=tuple(dict.fromkeys((*notices, *found.notices))),
        evidence=found.evidence,
        next_steps=found.steps,
        combined=found.combined,
        card=card,
        path=path,
    )
    return verdict, found


def _measured(table: PatchTable, reading: Reading, printed: Printed) -> dict[str, Measure]:
    measures = measure(table, reading)
    measures |= weakest_solid(measures)
    return measures | path_measures(table, printed.space, printed.levels) if printed.path else measures


def _doubted(
    table: PatchTable, reading: Reading, measures: dict[str, Measure], printed: Printed
) -> dict[str, Measure]:
    """The measures with the uncertainties that make a grade a close call: of a photograph what it adds alone, since the
    print that it rests on was graded under the rest."""
    added = reading.uncertainty.added_de00
    return measures if added is None else _measured(replace(table, de00=added), reading, printed)


def _beside(
    reading: Reading, other: KnownPrint | None, notices: list[Message], *, is_side: bool = False
) -> Beside | None:
    """The other print ready to be compared with; None, and a notice, where the two were not read alike.

    Where that can't be told, it is compared with a wider uncertainty, and a notice asks for the scanner's name; but
    blacks of two sides (``is_side``) are set against each other only where it is known.
    """
    if other is None or other.reading.kind == "eye" or reading.kind == "eye":
        return None
    table = _reference_table(other)
    if not reading.is_read_like(other.reading):
        differing = differences(reading, other.reading)
        if differing is not None:
            notices.append(Message("verdict.not-read-alike"))
            notices.append(Message("verdict.read-unlike", differing=differing or _METHODS))
            return None
        if is_side:
            notices.append(Message("verdict.sides-not-known-alike"))
            return None
        notices.append(Message("verdict.not-known-alike", de00=UNTOLD_DE00))
        wide = widened(other.reading)
        table = replace(table, de00=wide.uncertainty.de00)
        return Beside(wide, table, measure(table, wide), other.trial)
    return Beside(other.reading, table, measure(table, other.reading), other.trial)


# What is said where no file tells more.
_METHODS = (Message("verdict.differs.method"),)


def _beside_profile(reading: Reading, prediction: Prediction, notices: list[Message]) -> Beside | None:
    """The prediction ready to be compared with; None, and a notice, where the reading's colours are a scanner's own."""
    if not reading.is_read_like(prediction.reading):
        notices.append(Message("verdict.profile-beside-a-scan"))
        return None
    table = patch_table(prediction.reading)
    misused = {cause: tuple(map(patch_table, ways)) for cause, ways in prediction.misused.items()}
    return Beside(
        prediction.reading, table, measure(table, prediction.reading), None, prediction.spread, misused
    )


def _reference_table(reference: KnownPrint) -> PatchTable:
    try:
        return patch_table(reference.reading, reference.trial.sheet if reference.trial else None)
    except BadRequest as error:
        raise BadRequest("verdict.reference-unusable", fault=error.message) from error


def _conditions_differ(one: Reading, other: Reading) -> list[Message]:
    """ISO 13655: brightener shows under M1 and is cut out under M2, so whites and tints shift between them."""
    if one.condition is None or other.condition is None or one.condition == other.condition:
        return []
    return [Message("verdict.conditions-differ", one=one.condition, other=other.condition)]


def _of_rules(outcomes: tuple[RuleOutcome, ...]) -> list[Message]:
    """What the rules say, that which holds the grade down first."""
    worst_first = sorted(outcomes, key=lambda outcome: -GRADES.index(outcome.grade))
    return [
        said for outcome in worst_first for said in (outcome.sentence, outcome.close_call) if said is not None
    ]


def _of_causes(grade: Grade, found: Finding) -> list[Message]:
    return [cause_reason(grade, found.causes), *combined_reasons(found.combined), *limits(found.causes)]


def _of_settings(
    trial: Trial | None, reference: Trial | None, measures: dict[str, Measure], beside: Beside | None
) -> tuple[Message, ...]:
    if trial is None or reference is None or beside is None:
        return ()
    return compared(trial, reference, measures, beside.measures)
