"""What each command loads, counted: a person waits for all of it, whether it is used or not."""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.workflow.trials import draw_sheet
from tests.web.workshop import furnish, laid_on_glass

HEAVY = (
    "cv2", "numba", "scipy", "pikepdf", "pyvips", "PIL", "typst", "httpx", "fontTools", "uharfbuzz", "lxml", "zxingcpp",
    "sqlalchemy.orm",
)  # fmt: skip
# Command → most of our own modules it may load, and which of the heavy libraries.
ALLOWED: dict[str, tuple[int, set[str]]] = {
    "stock list": (70, set()),
    "printer list": (65, set()),
    "stock show 'Harbour Satin 300'": (70, set()),
    "trial list": (72, set()),
    "trial show {trial}": (70, set()),
    "fit 'Harbour Satin 300' 'Tern 8'": (100, set()),
    "run list": (90, {"httpx"}),  # it shows jobs at printers, whose states the client knows
    "judge {trial}": (116, set()),
}
PROGRAM = """
import sys
from tackside.cli.main import main
code = main({words!r})
ours = sum(name.partition(".")[0] == "tackside" for name in sys.modules)
print(code, ours, *(name for name in {heavy!r} if name in sys.modules), file=sys.stderr)
"""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    made = furnish(tmp_path_factory.mktemp("loaded") / "bench")
    judged = next(each.id for each in made.trials.list() if made.readings.list(each.id))
    return made.folder, judged


def _require_loaded(words: list[str], most: int, allowed: set[str]) -> None:
    program = PROGRAM.format(words=words, heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    code, ours, *heavy = done.stderr.splitlines()[-1].split()
    assert code == "0"
    assert set(heavy) == allowed
    assert most - 12 <= int(ours) <= most, ours


@pytest.mark.parametrize("command", ALLOWED)
def test_a_command_loads_what_it_uses_and_no_more(command: str, bench: tuple[Path, str]) -> None:
    folder, trial = bench
    words = [*shlex.split(command.format(trial=trial)), "--bench", str(folder)]
    _require_loaded(words, *ALLOWED[command])


def test_reading_a_scan_loads_nothing_of_instruments_and_learnt_scanners(
    bench: tuple[Path, str], tmp_path: Path
) -> None:
    made = Bench.open(bench[0])
    trial = next(each for each in made.trials.list() if not made.readings.list(each.id))
    draw_sheet(made, trial.id, tmp_path)
    scan = laid_on_glass(tmp_path / "sheet.tif", trial.sheet, tmp_path / "scan.tif")
    words = ["read", trial.id, str(scan), "--bench", str(bench[0])]
    _require_loaded(words, 130, {"cv2", "pyvips", "PIL", "zxingcpp"})


EVERY_SHELF = """
import importlib, pkgutil, sys
import tackside.bench
names = [each.name for each in pkgutil.walk_packages(tackside.bench.__path__, "tackside.bench.")]
names.remove("tackside.bench.database.migrations.env")  # Alembic's own, which runs as it is loaded
for name in names:
    importlib.import_module(name)
print(len(names), "sqlalchemy.engine" in sys.modules, "sqlalchemy.orm" in sys.modules)
"""


def test_nothing_on_a_bench_needs_a_mapper_of_rows_to_objects() -> None:
    """Not the commands above alone: whatever a command asks of its bench."""
    done = subprocess.run([sys.executable, "-c", EVERY_SHELF], capture_output=True, text=True, check=True)
    count, engine, mapper = done.stdout.split()
    assert int(count) > 30
    assert (engine, mapper) == ("True", "False")
