"""Questions at the terminal, one by one, each answer checked at once; or the same answers from options, in a script."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from typing import Literal

from tackside.cli.confirm import agree
from tackside.errors import BadRequest
from tackside.messages.catalogue import Unknown, entry_of
from tackside.messages.message import Message
from tackside.typed.length import Unit
from tackside.workflow.stocks.questions import Answer, AskedFor, is_asked, understood

Subject = Literal["stock", "printer"]


def answers_to(
    questions: Sequence[AskedFor],
    given: Mapping[str, str | None],
    subject: Subject,
    unit: Unit,
    *,
    as_json: bool = False,
) -> dict[str, Answer]:
    """The answers to all questions: those ``given`` as options by a question's key, the rest asked for.

    Asked where a person sits at the terminal and gave no option that ends the matter: with every needed answer among
    the options, nothing is asked. Raises BadRequest, which names the options that are missing where nobody can be
    asked.
    """
    missing = [each for each in questions if each.needed and not given.get(each.key)]
    asking = bool(missing) and can_ask() and not as_json
    if missing and not asking:
        raise BadRequest("typed.answers-missing", options=tuple(f"--{each.key}" for each in missing))
    if asking:
        print(Message("ask.begin"), file=sys.stderr)
    answers: dict[str, Answer] = {}
    for each in questions:
        typed = given.get(each.key)
        if typed is None and asking and is_asked(each, answers):
            answer = _asked(each, subject, unit)
        else:
            answer = _of_option(each, typed, unit)
        if answer is not None:
            answers[each.key] = answer
    return answers


def chosen_of(names: Sequence[str], subject: Subject) -> str:
    """One of several names, chosen by its number or in full. Raises BadRequest where nobody can be asked."""
    if not can_ask():
        raise BadRequest(f"typed.which-{subject}", names=tuple(names))
    print(f"\n{Message(f'ask.which-{subject}')}", file=sys.stderr)
    for number, name in enumerate(names, 1):
        print(f"  {number} {name}", file=sys.stderr)
    while True:
        print("> ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise BadRequest("typed.input-ended")
        typed = line.strip()
        if typed in names:
            return typed
        if typed.isdecimal() and 1 <= int(typed) <= len(names):
            return names[int(typed) - 1]
        print(f"  {BadRequest('typed.no-choice', given=typed, choices=tuple(names))}", file=sys.stderr)


def can_ask() -> bool:
    """Whether somebody sits there to answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def agree_to(doubt: Message, *, yes: bool) -> None:
    """Go on with doubtful figures where ``yes`` was given or a person types it; else raise BadRequest."""
    agree(doubt, yes=yes, ask=Message("typed.right-anyway"))


def _of_option(question: AskedFor, typed: str | None, unit: Unit) -> Answer | None:
    try:
        return understood(question, typed or "", unit)
    except BadRequest as error:
        raise BadRequest("typed.of-option", option=f"--{question.key}", fault=error.message) from error


def _asked(question: AskedFor, subject: Subject, unit: Unit) -> Answer | None:
    """Ask until the answer is understood. Raises BadRequest where the input ends."""
    code = f"ask.{subject}.{question.key}"
    print(f"\n{Message(code)}", file=sys.stderr)
    if _said(f"{code}.help"):
        print(f"  {Message(f'{code}.help')}", file=sys.stderr)
    if question.offered:
        print(f"  {Message('ask.offered', sizes=question.offered)}", file=sys.stderr)
    for number, choice in enumerate(question.choices, 1):
        print(f"  {number} {Message(f'{code}.{choice}')}", file=sys.stderr)
    default = question.default
    if default is not None and question.choices:
        default = str(question.choices.index(default) + 1)
    before = f"{Message('ask.default', answer=default)} " if default is not None else ""
    while True:
        print(f"{before}> ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise BadRequest("typed.input-ended")
        try:
            return understood(question, line, unit)
        except BadRequest as error:
            print(f"  {error}", file=sys.stderr)


def _said(code: str) -> bool:
    try:
        entry_of(code)
    except Unknown:
        return False
    return True
