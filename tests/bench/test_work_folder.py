"""Folders for what only passes through: gone when done with, and after a kill by whoever comes next."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tackside.tasks import work_folder as module
from tackside.tasks.cache import prune
from tackside.tasks.work_folder import LEFT_AFTER_SECONDS, clear_left, work_folder

WORKER = """
import sys
from pathlib import Path
from tackside.tasks.work_folder import work_folder
with work_folder(Path(sys.argv[1])) as folder:
    (folder / "scan.part").write_bytes(b"half")
    print(folder, flush=True)
    sys.stdin.read()
"""


def killed(cache: Path) -> Path:
    """What a killed program leaves."""
    call = [sys.executable, "-c", WORKER, str(cache)]
    with subprocess.Popen(call, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        folder = Path(process.stdout.readline().strip())
        clear_left(cache)
        assert (folder / "scan.part").is_file()  # in use
        process.kill()
    assert (folder / "scan.part").is_file()
    return folder


def test_it_is_gone_after_the_block_and_after_a_fault(tmp_path: Path) -> None:
    with work_folder(tmp_path) as folder:
        (folder / "in").mkdir()
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(FileNotFoundError), work_folder(tmp_path) as folder:
        (folder / "in" / "nowhere").mkdir()
    assert list(tmp_path.iterdir()) == []


def test_one_that_a_killed_program_left_goes_with_the_next(tmp_path: Path) -> None:
    left = killed(tmp_path)
    with work_folder(tmp_path) as own, work_folder(tmp_path):
        assert not left.exists()
        assert own.is_dir()


def test_one_that_a_killed_program_left_goes_when_the_cache_is_cleared(tmp_path: Path) -> None:
    left = killed(tmp_path)
    with work_folder(tmp_path / "cache"):
        prune(tmp_path)
    assert not left.exists()


def test_one_of_another_computer_is_left_for_a_day(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its lock may not reach here."""
    with monkeypatch.context() as there:
        there.setattr(module.platform, "node", lambda: "other-station")
        left = killed(tmp_path).rename(tmp_path / f"{module._prefix_here()}12ab")
    clear_left(tmp_path)
    assert left.is_dir()
    gone_by = time.time() - LEFT_AFTER_SECONDS - 1
    os.utime(left, (gone_by, gone_by))
    clear_left(tmp_path)
    assert not left.exists()


def test_where_nothing_can_be_made_or_locked_the_systems_place_serves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: object) -> None:
        raise OSError("no locks here")

    monkeypatch.setattr(module, "lock", refuse)
    for cache in (tmp_path, Path(__file__)):
        with work_folder(cache) as folder:
            assert folder.is_dir()
            assert tmp_path not in folder.parents
    assert list(tmp_path.iterdir()) == []
