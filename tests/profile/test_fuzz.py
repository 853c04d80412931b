"""No damaged profile may take the program down: the native libraries are tried in a process of their own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

SECONDS = 20


@pytest.mark.slow
def test_damaged_profiles_are_summarised_or_refused_and_crash_nothing() -> None:
    root = Path(__file__).parents[2]
    run = subprocess.run(
        [sys.executable, "-W", "error", "-m", "tests.profile.fuzz", "7", str(SECONDS)],
        cwd=root,
        capture_output=True,
        text=True,
        timeout=6 * SECONDS,
        check=False,
    )
    lines = run.stdout.splitlines()
    assert run.returncode == 0, f"after {lines[-1:]}: {run.stderr[-2000:]}"
    tried = int(lines[-1].split()[1])
    assert tried > 50
