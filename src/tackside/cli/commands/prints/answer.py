"""``tackside answer``: a print judged by eye, for those with no scanner."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.commands.prints.read import document
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views.reading_page import reading_lines
from tackside.errors import BadRequest
from tackside.files.toml_records import load_record
from tackside.reading.eye import Answers
from tackside.reading.eye_questions import QUESTIONS, Question, answers_from, as_given, asked
from tackside.workflow.answers import answer_by_eye


def answer(
    trial: Annotated[str, Parameter(help="Id of the trial, as printed on its sheet.")],
    file: Annotated[Path | None, Parameter(help="Answers as a TOML file; without it, you are asked.")] = None,
    /,
    *,
    say: Annotated[
        list[str] | None,
        Parameter(
            negative=(),
            help="One answer as QUESTION=ANSWER, for instance creep=no; may be given more than once.",
        ),
    ] = None,
) -> Outcome:
    """Answer a few questions about a print in your hand, with no scanner.

    Leave out what you cannot answer. With a print known to be good beside it, on any card, the answers count for more.
    """
    bench = Bench.open(bench_folder(), create=False)
    found = bench.trials.get(trial)
    name = "answers" if file is None else file.name
    kept = answer_by_eye(bench, found.id, _answers(file, say), source_name=name, file=file)
    return Outcome(document(kept), reading_lines(kept, found))


def _answers(file: Path | None, say: list[str] | None) -> Answers:
    if file is not None and say:
        raise BadRequest("eye.file-and-say")
    if file is not None:
        return load_record(file, Answers)
    if say:
        return answers_from(dict(_pair(each) for each in say))
    if not sys.stdin.isatty():
        raise BadRequest("eye.nobody-to-ask", questions=tuple(one.field for one in QUESTIONS[:3]))
    return asked(_ask)


def _pair(word: str) -> tuple[str, object]:
    field, sign, value = word.partition("=")
    if not sign:
        raise BadRequest("eye.say-without-sign", given=word)
    field, value = field.strip(), value.strip()
    return field, as_given(field, value)


def _ask(question: Question) -> str:
    """One question on standard error, so that ``--json`` has standard output to itself."""
    if question.caution is not None:
        print(f"Mind: {question.caution}", file=sys.stderr)
    choices = f" [{' / '.join(question.choices)}]" if question.choices else ""
    while True:
        print(f"{question.words}{choices} (Enter: cannot tell) ", end="", file=sys.stderr, flush=True)
        words = sys.stdin.readline().strip()
        if not words or not question.choices or words in question.choices:
            return words
        print(f"  please answer {' or '.join(question.choices)}", file=sys.stderr)
