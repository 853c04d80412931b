"""No damaged profile may take the program down: the native libraries are tried in a process of their own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.extent import drawn

# Each kind of damage to each seed twice.
COUNT = drawn(70, 700)


@pytest.mark.slow
def test_damaged_profiles_are_summarised_or_refused_and_crash_nothing() -> None:
    root = Path(__file__).parents[2]
    run = subprocess.run(
        [sys.executable, "-W", "error", "-m", "tests.profile.fuzz", "7", str(COUNT)],
        cwd=root,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    lines = run.stdout.splitlines()
    assert run.returncode == 0, f"after {lines[-1:]}: {run.stderr[-2000:]}"
    assert lines[-1].startswith(f"done: {COUNT} tried, ")
    assert len(lines) == COUNT + 1
