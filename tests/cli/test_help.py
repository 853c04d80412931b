"""Pages of help: a command's own options first, an example that holds, commands in the order of the job."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

import pytest
from cyclopts import App

from tackside.cli import main as command_line
from tackside.cli.examples import EXAMPLES, place_of


def commands_of(app: App, before: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Every command that does something, as its words."""
    for name in app:
        if name.startswith("-"):
            continue
        inner = app[name]
        if any(not each.startswith("-") for each in inner):
            yield from commands_of(inner, (*before, name))
        else:
            yield (*before, name)


COMMANDS = tuple(" ".join(each) for each in commands_of(command_line.app))


def test_every_command_has_an_example() -> None:
    assert sorted(EXAMPLES) == sorted(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_an_example_is_a_call_that_is_understood(command: str) -> None:
    called = shlex.split(EXAMPLES[command])
    assert " ".join(called).startswith(command)
    command_line.app.parse_args(called, print_error=False, exit_on_error=False)


@pytest.mark.parametrize("command", COMMANDS)
def test_own_options_come_first_and_the_example_last(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command_line.main([*command.split(), "--help"]) == 0
    told = capsys.readouterr().out
    everywhere = told.index("With every command")
    for own in ("─ Arguments ", "─ Options "):
        assert own not in told or told.index(own) < everywhere
    assert f"Example: tackside {EXAMPLES[command]}" in " ".join(told.split()) or command == "bench move"
    assert told.index("Example: tackside") > everywhere


@pytest.mark.parametrize(
    ("page", "order"),
    [
        ((), ("start", "stock", "sheet", "read", "judge", "choose", "card", "run", "bench")),
        (("stock",), ("add", "list", "show", "side", "export", "import")),
        (("run",), ("cost", "keep", "send", "count", "withdraw")),
    ],
)
def test_commands_stand_in_the_order_of_the_job(
    page: tuple[str, ...], order: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert command_line.main([*page, "--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    places = [next(at for at, line in enumerate(lines) if line.startswith(f"│ {name} ")) for name in order]
    assert places == sorted(places)


def test_what_is_not_in_the_table_comes_last() -> None:
    assert place_of("stock") < place_of("read") < place_of("run send") < place_of("nothing known")


def test_the_whole_of_what_a_command_does_is_on_its_page(capsys: pytest.CaptureFixture[str]) -> None:
    command_line.main(["read", "--help"])
    told = " ".join(capsys.readouterr().out.split())
    assert "Usage: tackside read [OPTIONS] [TRIAL] FILE..." in told
    assert "One file that cannot be read costs one line; the others are read." in told
