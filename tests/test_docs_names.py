"""The documents name no command and no option that does not exist. What each command does is tested elsewhere."""

from __future__ import annotations

import itertools
import re
import shlex
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from cyclopts import App

from tackside.cli.main import COMMANDS, app

ROOT = Path(__file__).parent.parent
PAGES = (ROOT / "README.md", ROOT / "benchmarks" / "README.md", *sorted((ROOT / "docs").glob("*.md")))
# The command line's own, before or behind any command; and options of the training and of Babel, which pages name.
EVERYWHERE = {"--bench", "--json", "--help", "--version"}
OTHERS = {"--by-eye", "--sort-output"}
_OPTION = re.compile(r"--[a-z][a-z0-9-]*")
# Where a call begins: a line or a span, behind a setting or a program that runs it; not behind another's option.
_CALL = re.compile(r"(?:^|\(|do\.py |time |[A-Z_]+=\S+ )tackside (?P<words>.*)")
_SPAN = re.compile(r"(?<!`)(`{1,2})(?!`)(?P<words>[^`]+?)\1(?!`)", re.DOTALL)


@cache
def groups() -> dict[str, App]:
    """Every command by its words, ``stock add`` and the like; groups of commands too."""
    found: dict[str, App] = {}
    waiting = [((name,), app[name]) for name in COMMANDS]
    while waiting:
        words, each = waiting.pop()
        found[" ".join(words)] = each
        waiting += [((*words, name), each[name]) for name in each if not name.startswith("-")]
    return found


@cache
def options_of(command: str) -> frozenset[str]:
    each = groups()[command]
    if each.default_command is None:
        return frozenset()
    arguments = each.assemble_argument_collection()
    return frozenset(
        name for one in arguments for name in (*one.names, *one.negatives) if name.startswith("--")
    )


def said(text: str) -> Iterator[str]:
    """What stands in a page as code: spans in its sentences, and lines of its blocks, broken ones put together."""
    fenced = re.compile(r"(?ms)^```(\w*)\n(.*?)^```$")
    prose = fenced.sub("", text)
    for language, block in fenced.findall(text):
        if language not in {"toml", "python", "pycon", "json"}:
            yield from block.splitlines()
    yield from re.findall(r"(?m)^ {4,}(.+)$", prose)
    yield from (
        " ".join(span["words"].split()) for span in _SPAN.finditer(re.sub(r"(?m)^ {4,}.+$", "", prose))
    )


def calls(text: str) -> Iterator[str]:
    """The words behind ``tackside``, and spans that begin with a command's name and go on."""
    for each in said(text):
        if (found := _CALL.search(each)) is not None:
            yield re.sub(r"\s+#.*", "", found["words"])
        elif " " in each and each.split()[0] in COMMANDS and each.split()[1] not in {"=", "and"}:
            yield each


def words_of(call: str) -> list[str]:
    plain = re.sub(r"[\[\]()|…]", " ", call.replace("\\|", " ").replace("\\", ""))
    try:
        return shlex.split(plain)
    except ValueError:
        return plain.split()


def faults_of(call: str) -> list[str]:
    """What a call names that does not exist."""
    words = words_of(call)
    while words and words[0].startswith("--"):  # before the command: --bench FOLDER, --help
        words = words[2:] if words[0] == "--bench" else words[1:]
    if not words or words[0].isupper() or "--help" in call:
        return []
    name, rest = words[0], words[1:]
    if name not in COMMANDS:
        return [f"no command {name}: {call}"]
    while rest and f"{name} {rest[0]}" in groups():
        name, rest = f"{name} {rest[0]}", rest[1:]
    if groups()[name].default_command is None and rest and not rest[0].startswith("--"):
        return [f"no command {name} {rest[0]}: {call}"]
    known = options_of(name) | EVERYWHERE
    return [
        f"no option {word} of {name}: {call}"
        for word in rest
        if _OPTION.fullmatch(word) and word not in known
    ]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: f"{page.parent.name}/{page.name}")
def test_the_commands_and_options_that_a_page_names_exist(page: Path) -> None:
    found = calls(page.read_text(encoding="utf-8"))
    assert list(itertools.chain.from_iterable(map(faults_of, found))) == []


def test_an_option_named_alone_belongs_to_some_command() -> None:
    known = EVERYWHERE | OTHERS | frozenset().union(*(options_of(name) for name in groups()))
    lost = []
    for page in PAGES:
        options = said(page.read_text(encoding="utf-8")) if page.parent.name != "benchmarks" else ()
        for span in options:
            if span.startswith("--"):
                lost += [f"{page.name}: {word}" for word in _OPTION.findall(span) if word not in known]
    assert lost == []


def test_a_command_or_an_option_that_does_not_exist_is_told() -> None:
    assert list(
        calls("Say `tackside judge TRIAL --beside OTHER`.\n\n    tackside stock fly NAME  # away\n")
    ) == [
        "stock fly NAME",
        "judge TRIAL --beside OTHER",
    ]
    assert faults_of("judge TRIAL --beside OTHER") == [
        "no option --beside of judge: judge TRIAL --beside OTHER"
    ]
    assert faults_of("stock fly NAME") == ["no command stock fly: stock fly NAME"]
    assert faults_of("fly") == ["no command fly: fly"]
    assert faults_of("--bench DIR judge TRIAL --against OTHER") == []
