"""A print judged by eye: answers kept as a reading."""

from __future__ import annotations

from pathlib import Path

from tackside.bench.store import Bench
from tackside.reading.eye import Answers, read_answers
from tackside.records import Reading


def answer_by_eye(
    bench: Bench, trial: str, answers: Answers, *, source_name: str = "answers", file: Path | None = None
) -> Reading:
    """Answers to questions about a print in the hand, kept as a reading; ``file`` held them, and is kept too.

    Raises NotFound, BadRequest where the answers contradict the sheet.
    """
    found = bench.trials.get(trial)
    reading = read_answers(answers, found.sheet, trial=found.id, source_name=source_name)
    if file is not None:
        bench.keep_file(file)
    return bench.readings.add(reading)
