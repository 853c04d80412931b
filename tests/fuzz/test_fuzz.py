"""The fuzzer itself: it finds a planted fault and a planted hang, names the file, and says so where it cannot run."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

from tests.fuzz import __main__ as command
from tests.fuzz.__main__ import Told

ROOT = Path(__file__).parents[2]
# By chance one input in sixteen million begins so.
PLANTED = """
import sys
from pathlib import Path
import atheris
from tests.fuzz.run import fuzz
from tests.fuzz.targets import Target

@atheris.instrument_func
def read(path):
    data = path.read_bytes()
    if data[:3] == b"FUZ":
        raise ZeroDivisionError("planted")

fuzz(Target((b"abcdef",), (read,), 64), Path(sys.argv[1]), sys.argv[2:])
"""


needs_atheris = pytest.mark.skipif(
    importlib.util.find_spec("atheris") is None, reason="Atheris has no wheel for this system"
)


@needs_atheris
def test_a_fault_behind_a_branch_is_found_and_its_file_named(tmp_path: Path) -> None:
    for name in ("scratch", "found"):
        (tmp_path / name).mkdir()
    # What the process that started it once held counts as its own peak (getrusage), and a test process has held much.
    options = ("-rss_limit_mb=0", "-max_total_time=60", "-seed=3", f"-artifact_prefix={tmp_path / 'found'}/")
    done = subprocess.run(
        [sys.executable, "-c", PLANTED, tmp_path / "scratch", *options],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode != 0
    assert "ZeroDivisionError: planted" in done.stdout
    assert [file.read_bytes()[:3] for file in (tmp_path / "found").iterdir()] == [b"FUZ"]


SLOW = PLANTED.replace(
    "import atheris\n", "import atheris\nimport time\nfrom tests.fuzz import run\nrun.MOST_SECONDS = 0.2\n"
).replace(
    'raise ZeroDivisionError("planted")',
    "end = time.process_time() + 0.5\n        while time.process_time() < end:\n            pass",
)


@needs_atheris
def test_what_takes_too_much_processor_time_is_found(tmp_path: Path) -> None:
    for name in ("scratch", "found"):
        (tmp_path / name).mkdir()
    options = ("-rss_limit_mb=0", "-max_total_time=60", "-seed=3", f"-artifact_prefix={tmp_path / 'found'}/")
    done = subprocess.run(
        [sys.executable, "-c", SLOW, tmp_path / "scratch", *options], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode != 0
    assert "s of processor time" in done.stdout
    assert [file.read_bytes()[:3] for file in (tmp_path / "found").iterdir()] == [b"FUZ"]


@needs_atheris
@pytest.mark.slow
def test_nearly_the_same_inputs_are_tried_each_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(command.EXECUTIONS, "archive", 400)
    told = [command.run("archive", None, tmp_path / each) for each in ("first", "second")]
    assert [(each.executions, each.fault) for each in told] == [(400, "")] * 2
    first, second = (
        {file.name for file in (tmp_path / each / "archive" / "corpus").iterdir()}
        for each in ("first", "second")
    )
    assert first, "nothing was found worthwhile, so that nothing is compared"
    # Not all: which branches an input takes hangs on what is cached by then, and once in a while on what the time is.
    assert len(first & second) > 0.75 * len(first | second)


def test_every_target_has_its_number_of_inputs() -> None:
    assert tuple(command.EXECUTIONS) == command.NAMES


def test_what_was_found_is_told_with_how_to_keep_it(capsys: pytest.CaptureFixture[str]) -> None:
    sound = Told("toml", 90, 9, 30, 200, (), "")
    faulty = Told("ipp", 90, 9, 30, 200, (Path("found/crash-1"),), "KeyError: 'x'")
    assert command.report([sound]) == 0
    assert command.report([sound, faulty]) == 1
    told = capsys.readouterr().out
    assert "KeyError: 'x'" in told
    assert "cp found/crash-1 tests/fuzz/corpus/ipp/" in told


def test_without_the_fuzzer_a_line_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert command.main(["toml"]) == 0
    assert "nothing was run" in capsys.readouterr().out


def test_a_target_that_is_not_there_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        command.main(["moon"])
    assert "there is no target moon" in capsys.readouterr().err
