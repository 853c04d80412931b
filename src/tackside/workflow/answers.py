"""A print judged by eye: answers kept as a reading."""

from __future__ import annotations

from pathlib import Path

from tackside.bench.store import Bench
from tackside.reading.eye import Answers, read_answers
from tackside.records import Reading
from tackside.verdict.grade.by_eye import require_enough_answers


def answer_by_eye(
    bench: Bench,
    trial: str,
    answers: Answers,
    *,
    source_name: str = "answers",
    file: Path | None = None,
    for_a_verdict: bool = False,
) -> Reading:
    """Answers to questions about a print in the hand, kept as a reading; ``file`` held them, and is kept too.

    ``for_a_verdict``: kept only where they are enough for a grade. A reading by scan or instrument stands before them.
    Raises NotFound, BadRequest where the answers contradict the sheet, or are too few, or the trial was withdrawn.
    """
    found = bench.trials.standing(trial)
    reading = read_answers(answers, found.sheet, trial=found.id, source_name=source_name)
    if for_a_verdict:
        require_enough_answers(reading)
    if file is not None:
        bench.keep_file(file)
    return bench.readings.add(reading)
