"""Kills, 200 in full: nothing confirmed is lost or half-written, and the next start is clean."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.extent import drawn
from tests.postgres import running

KILLS = drawn(50, 200)
# One for each job of the table; in full, the 200 that the table is meant for.
KILLED_JOBS = drawn(17, 200)


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kill -9 and fork are POSIX's")
def test_a_bench_survives_kills() -> None:
    # Its own process, which forks its children: this one may have threads.
    call = [sys.executable, "-W", "error", "-m", "tests.bench.kills", "--kills", str(KILLS)]
    with running() as server:
        more = [] if server is None else ["--server", server.url(server.fresh())]
        done = subprocess.run([*call, *more], capture_output=True, text=True, cwd=Path(__file__).parents[2])
    assert done.returncode == 0, done.stderr[-2000:]
    told = json.loads(done.stdout)
    assert told["imports"] + told["counts"] + told["moves"] == KILLS
    assert told["midway"] >= KILLS / 3, told  # else they came before or after the work, and say little
    print(told)


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kill -9 and fork are POSIX's")
def test_every_job_that_writes_can_be_killed_and_tried_again() -> None:
    call = [sys.executable, "-W", "error", "-m", "tests.bench.killed_jobs", "--kills", str(KILLED_JOBS)]
    done = subprocess.run(call, capture_output=True, text=True, cwd=Path(__file__).parents[2])
    assert done.returncode == 0, done.stderr[-2000:]
    told = json.loads(done.stdout)
    told.pop("seconds")
    assert sum(each["kills"] for each in told.values()) == KILLED_JOBS
    assert all(each["steps"] > 20 for each in told.values()), told  # else its writes are not seen
