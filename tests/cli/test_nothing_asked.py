"""``tackside`` alone: the workbench for a person with a desktop, and how to get it for anybody else."""

from __future__ import annotations

import pytest

from tackside.cli import desktop
from tackside.cli import main as command_line


@pytest.mark.parametrize(
    ("platform", "environ", "there"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("linux", {"DISPLAY": "localhost:10.0", "SSH_CONNECTION": "192.0.2.1 1 192.0.2.2 22"}, True),
        ("linux", {"DISPLAY": ""}, False),
        ("darwin", {}, True),
        ("darwin", {"SSH_CONNECTION": "192.0.2.1 1 192.0.2.2 22"}, False),
        ("win32", {}, True),
        ("win32", {"SSH_TTY": "x"}, False),
    ],
)
def test_a_desktop_is_told_by_what_the_system_says(
    platform: str, environ: dict[str, str], there: bool
) -> None:
    assert desktop.has_desktop(platform, environ) is there


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """What the command line calls, which is not carried out: the workbench runs until it is stopped."""
    called: list[list[str]] = []
    monkeypatch.setattr(command_line, "app", lambda tokens: called.append(list(tokens)))
    return called


def test_a_person_with_a_desktop_gets_the_workbench(
    opened: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desktop, "is_person", lambda: True)
    monkeypatch.setattr(desktop, "has_desktop", lambda: True)
    command_line.nothing_asked(as_json=False)
    assert opened == [["start"]]


def test_a_person_without_one_is_told_how(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(desktop, "is_person", lambda: True)
    monkeypatch.setattr(desktop, "has_desktop", lambda: False)
    assert command_line.main([]) == 0
    assert "tackside start --no-browser" in capsys.readouterr().out


def test_a_pipe_gets_the_list_of_commands(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line.main([]) == 0
    shown = capsys.readouterr().out
    assert [name for name in command_line.COMMANDS if name not in shown] == []


def test_a_script_that_asks_for_a_document_of_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line.main(["--json"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "--json goes with a command" in shown.err
