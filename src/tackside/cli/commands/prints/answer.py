"""``tackside answer``: a print judged by eye, for those with no scanner."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.commands.prints.read import document
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views.reading_page import reading_page
from tackside.errors import BadRequest
from tackside.files.toml_records import load_record
from tackside.reading.eye import QUESTIONS, Answers, Question, answers_from, as_given, asked, read_answers


def answer(
    trial: Annotated[str, Parameter(help="Id of the trial, as printed on its sheet.")],
    file: Annotated[Path | None, Parameter(help="Answers as a TOML file; none: you are asked.")] = None,
    /,
    *,
    say: Annotated[
        list[str] | None,
        Parameter(
            negative=(), help="One answer as QUESTION=ANSWER, for instance creep=no; may be given often."
        ),
    ] = None,
) -> Outcome:
    """Answer a few questions about a print in your hand, with no scanner.

    Leave out what you cannot tell. A print known to be good, on any card, laid beside it makes the answers worth more.
    """
    bench = Bench.open(bench_folder(), create=False)
    found = bench.trials.get(trial)
    answers = _answers(file, say)
    name = "answers" if file is None else file.name
    reading = read_answers(answers, found.sheet, trial=found.id, source_name=name)
    if file is not None:
        bench.keep_file(file)
    kept = bench.readings.add(reading)
    return Outcome(document(kept), reading_page(kept, found))


def _answers(file: Path | None, say: list[str] | None) -> Answers:
    if file is not None and say:
        raise BadRequest("both a file and --say were given", "give one of them")
    if file is not None:
        return load_record(file, Answers)
    if say:
        return answers_from(dict(_pair(each) for each in say))
    if not sys.stdin.isatty():
        raise BadRequest(
            "there is nobody to ask",
            f"give a TOML file, or --say with {', '.join(one.field for one in QUESTIONS[:3])}, …",
        )
    return asked(_ask)


def _pair(word: str) -> tuple[str, object]:
    field, sign, value = word.partition("=")
    if not sign:
        raise BadRequest(f"--say {word!r} has no =", "write it as QUESTION=ANSWER")
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
