"""Every command in README and docs does what the page says, as it is written there."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import do
import pytest

from tackside.cli import main as command_line
from tackside.cli import session
from tests.doc_commands import PAGES, ROOT, Command, commands_of, toml_files
from tests.doc_world import World

BY_PAGE = {page.relative_to(ROOT).as_posix(): commands_of(page) for page in PAGES}
COMMANDS = [each for commands in BY_PAGE.values() for each in commands]
NOT_RUN = [each for each in COMMANDS if each.why_not]
# Pages whose reader begins with nothing.
FROM_NOTHING = {"docs/test-a-card.md"}
WITH_COMMANDS = [name for name, commands in BY_PAGE.items() if any(not each.why_not for each in commands)]


def test_few_commands_are_not_run_and_each_says_why() -> None:
    # Counted, so that nobody adds one without thinking; lower it when one can be run after all.
    assert len(NOT_RUN) == 33, [(each.page, each.line, each.why_not) for each in NOT_RUN]
    assert [each for each in NOT_RUN if len(each.why_not.split()) < 3] == []


def test_every_line_that_looks_like_a_command_is_taken_for_one_or_is_an_answer() -> None:
    """A block that begins with something else shows an answer of the program: only the verdict's page has one."""
    for page in PAGES:
        taken = {each.line for each in commands_of(page)}
        lines = page.read_text(encoding="utf-8").splitlines()
        left = [
            line
            for number, line in enumerate(lines, 1)
            if re.match(r"( {4}|\t)\s*(tackside|python3?|uv|pipx|pip) ", line) and number not in taken
        ]
        assert len(left) == (1 if page.name == "verdict.md" else 0), (page.name, left)


SPANS = sorted(
    {
        (page.name, span)
        for page in PAGES
        for span in re.findall(r"`(tackside [a-z][^`]*)`", page.read_text(encoding="utf-8"))
    }
)


@pytest.mark.parametrize(("page", "span"), SPANS, ids=[f"{page}: {span}" for page, span in SPANS])
def test_commands_in_sentences_name_what_there_is(page: str, span: str) -> None:
    words = [word for word in span.split()[1:] if word != "…"]
    chain, _, rest = command_line.app.parse_commands(words)
    assert chain, span
    shown = command_line.app[chain[0]]
    for name in chain[1:]:
        shown = shown[name]
    known = {name for each in shown.assemble_argument_collection() for name in each.names} | {
        "--json",
        "--bench",
    }
    assert [word for word in rest if word.startswith("--") and word not in known] == []


@pytest.mark.slow
@pytest.mark.parametrize("name", WITH_COMMANDS)
def test_the_commands_of_a_page_run_as_they_are_written(
    name: str,
    tmp_path: Path,
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    templates = tmp_path_factory.getbasetemp() / "doc-world"
    templates.mkdir(exist_ok=True)
    world = World(ROOT / name, tmp_path, templates, empty=name in FROM_NOTHING)
    monkeypatch.setenv("HOME", str(world.home))
    monkeypatch.delenv("TACKSIDE_BENCH", raising=False)
    monkeypatch.chdir(world.desk)
    for command in BY_PAGE[name]:
        if not command.why_not:
            monkeypatch.setattr(session, "_bench_folder", world.home / "Tackside")
            run(command, world, monkeypatch, capsys)


def run(
    command: Command, world: World, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = command.words
    settings = {}
    while (found := re.fullmatch(r"([A-Z_]+)=(.*)", words[0])) is not None:
        settings[found[1]] = found[2]
        words = words[1:]
    if words[:2] == ["python3", "do.py"]:
        by_do(words[2:], monkeypatch)
        return
    if words[0] == "uv":
        by_uv(words, world)
        return
    assert words[0] == "tackside", (
        f"{command.page}, line {command.line}: nobody has said how that is run here"
    )
    if words[1:2] == ["start"]:
        stays_open(words, settings, world)
        return
    code = command_line.main(world.meant(words[1:]))
    told = capsys.readouterr()
    assert code == 0, f"{command.page}, line {command.line}: {command.text}\n{told.err}"


def by_do(words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """In the environment of the tests, which is the one that do.py would make."""
    monkeypatch.setattr(do, "make_environment", lambda kind: None)
    monkeypatch.setattr(do, "PYTHON", sys.executable)
    assert do.main(words) == 0


def by_uv(words: list[str], world: World) -> None:
    """Without a registry: what Tackside needs is left out, as whoever runs the tests has it already."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    needed = [*project["dependencies"], *extras["postgres"], *extras["cluster"]]
    left_out = world.home / "left-out.txt"
    left_out.write_text("".join(f"{re.split('>=', each)[0]} ; sys_platform == 'none'\n" for each in needed))
    alone = {
        "UV_OFFLINE": "1",
        "UV_NO_CONFIG": "1",
        "UV_OVERRIDE": str(left_out),
        "UV_PYTHON": sys.executable,
    }
    places = {"UV_CACHE_DIR": "cache", "UV_TOOL_DIR": "tools", "UV_TOOL_BIN_DIR": "bin"}
    alone |= {name: str(world.home / "uv" / place) for name, place in places.items()}
    called = [sys.executable, "-m", *world.meant(words)]
    told = subprocess.run(called, env=os.environ | alone, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert (world.home / "uv" / "bin" / "tackside").exists() == (words[2] == "install")


def stays_open(words: list[str], settings: dict[str, str], world: World) -> None:
    """A workbench is there when it says so, until it is stopped by Ctrl-C."""
    # A browser that shows nobody anything: Python's webbrowser asks BROWSER first.
    environ = os.environ | settings | {"BROWSER": "true"}
    called = [sys.executable, "-m", "tackside", *world.meant(words[1:])]
    with subprocess.Popen(called, env=environ, stderr=subprocess.PIPE, text=True) as opened:
        assert opened.stderr is not None
        try:
            said = ""
            while "Tackside is at http://" not in said:
                line = opened.stderr.readline()
                assert line, said
                said += line
        finally:
            opened.send_signal(signal.SIGINT)
        opened.stderr.read()
        assert opened.wait(timeout=60) in {0, 130}


def test_files_that_pages_show_whole_are_found() -> None:
    shown = {name for page in PAGES for name in toml_files(page)}
    assert {"harbour.toml", "tern.toml", "card.toml", "fair.toml"} <= shown
