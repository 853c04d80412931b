"""A real Dask cluster on this machine for the tests: a scheduler and two workers, in processes of their own."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
_PROGRAM = """
import sys
from distributed import LocalCluster

if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.readline()
"""


@contextlib.contextmanager
def running_cluster() -> Iterator[str]:
    """Its address."""
    call = [sys.executable, "-c", _PROGRAM]
    with subprocess.Popen(
        call, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            yield process.stdout.readline().strip()
        finally:
            process.stdin.write("\n")
            process.stdin.flush()
            process.wait(timeout=60)
