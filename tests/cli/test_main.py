"""The command line as a whole: what every command shares."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from tackside.cautions import BLADES, HEAD_STRIKE
from tackside.cli import main as command_line
from tackside.cli.session import Outcome
from tackside.errors import BadRequest
from tackside.messages.wording import documents


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line.main(["--help"]) == 0
    shown = capsys.readouterr().out
    for name in command_line.COMMANDS:
        assert name in shown


def test_help_gives_the_caution_about_thick_card(capsys: pytest.CaptureFixture[str]) -> None:
    command_line.main(["--help"])
    assert str(HEAD_STRIKE) in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("name", command_line.COMMANDS)
def test_each_command_has_help_of_its_own(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line.main([name, "--help"]) == 0
    assert name in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ["fly"],
        ["fit"],
        ["fit", "a", "b", "c"],
        ["fit", "a", "b", "--wings"],
        ["judge", "--data"],
        ["sheet", "a", "b"],
    ],
    ids=[
        "unknown command",
        "missing argument",
        "one too many",
        "unknown option",
        "no value",
        "missing option",
    ],
)
def test_a_call_that_makes_no_sense_is_one_line_and_exit_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert command_line.main(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("tackside: ")
    assert shown.err.count("\n") == 1


def test_json_is_one_document_and_nothing_else(capsys: pytest.CaptureFixture[str]) -> None:
    command_line.show(Outcome({"name": "Möwe"}, text="for people", warnings=("mind this",)), as_json=True)
    shown = capsys.readouterr()
    assert json.loads(shown.out) == {"name": "Möwe"}
    assert "mind this" in shown.err


def test_cautions_end_the_text_and_are_a_key_of_the_document(capsys: pytest.CaptureFixture[str]) -> None:
    outcome = Outcome({"name": "Möwe"}, text="for people", cautions=(HEAD_STRIKE, BLADES))
    command_line.show(outcome, as_json=True)
    assert json.loads(capsys.readouterr().out) == {
        "name": "Möwe",
        "cautions": documents((HEAD_STRIKE, BLADES)),
    }
    command_line.show(outcome, as_json=False)
    assert capsys.readouterr().out == f"for people\n\nMind: {HEAD_STRIKE}\nMind: {BLADES}\n"


def test_an_error_of_ours_is_one_line_even_when_its_message_has_breaks(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(_: object) -> None:
        raise BadRequest("two\nlines", "make\nit one")

    monkeypatch.setattr(command_line, "app", SimpleNamespace(meta=refuse))
    assert command_line.main(["fit"]) == 2
    assert capsys.readouterr().err == "tackside: two lines; make it one\n"


def test_an_interrupted_call_says_so_and_exits_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupt(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(command_line, "app", SimpleNamespace(meta=interrupt))
    assert command_line.main(["fit"]) == 130
    assert "nothing is half-written" in capsys.readouterr().err


def test_help_imports_no_heavy_library() -> None:
    heavy = ("numpy", "scipy", "pyvips", "cv2", "sqlalchemy", "pydantic", "PIL", "numba", "lxml")
    code = (
        "import sys; from tackside.cli.main import main; main(['--help']); "
        f"print([m for m in {heavy!r} if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_a_fault_of_our_own_is_one_line_too_and_its_details_are_kept(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def break_down(_: object) -> None:
        raise ZeroDivisionError("never mind")

    monkeypatch.setattr(command_line, "app", SimpleNamespace(meta=break_down))
    assert command_line.main(["fit"]) == 70
    shown = capsys.readouterr().err
    assert shown.count("\n") == 1
    details = Path(next(word for word in shown.split() if word.endswith(".txt")))
    assert "ZeroDivisionError" in details.read_text()
    details.unlink()
