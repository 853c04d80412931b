"""The worker's side: one process, one job, limits first. It starts before it is needed and waits for its job."""

from __future__ import annotations

import importlib
import os
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.errors import ScanStopped, TacksideError
from tackside.files.reasons import reason_of
from tackside.messages.message import Message
from tackside.web.jobs.engine.kinds import KINDS
from tackside.web.jobs.engine.task import Task

# Imported while the worker waits, so that a job begins at once.
_WARM = ("numpy", "pyvips", "cv2", "tackside.reading", "tackside.verdict", "tackside.sheet")


def wait_for_job(line: Connection, *, warm: bool) -> None:
    """Get ready (``warm``: with all that most jobs need), take one order from ``line``, work, answer, end.

    Answers: ``("tell", share, doing)`` while at work; then one of ``("done", result)``, ``("failed", fault, place)``,
    ``("cancelled",)``.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the keeper's to answer
    for name in _WARM if warm else ():
        with suppress(ImportError):
            importlib.import_module(name)
    try:
        order = line.recv()
    except EOFError:
        return
    with suppress(BrokenPipeError, EOFError):
        line.send(_answer(line, order))


def _answer(line: Connection, order: dict[str, Any]) -> tuple[Any, ...]:
    kind = KINDS[order["kind"]]
    _limit(kind.memory_bytes, kind.seconds)
    try:
        bench = Bench.open(order["bench"], create=False)
        with tempfile.TemporaryDirectory(prefix="tackside-job-", dir=order["work"]) as folder:
            module, _, name = kind.run.partition(":")
            run: Callable[[Task], dict[str, Any]] = getattr(importlib.import_module(module), name)
            task = Task(
                bench,
                order["asked"],
                Path(folder),
                lambda share, doing: line.send(("tell", share, doing)),
                lambda: bench.jobs.get(order["job"]).state == "stopping",
            )
            return ("done", run(task))
    except ScanStopped:
        return ("cancelled",)
    except TacksideError as error:
        return ("failed", error.message, error.place)
    except MemoryError:
        return ("failed", Message("job.out-of-memory"), None)
    except OSError as error:
        return ("failed", Message("file.disk-refuses", reason=reason_of(error)), None)
    except Exception as error:  # noqa: BLE001  the last net: a fault of ours ends the job, not the workbench
        traceback.print_exception(error, file=sys.stderr)
        return ("failed", Message("form.own-fault", kind=type(error).__name__), None)


def _limit(memory_bytes: int, seconds: float) -> None:
    """Bound memory and processor time, where the system can; the keeper bounds the time on the clock everywhere."""
    if sys.platform == "win32":
        return
    import resource

    # Private writable memory, which libraries that only reserve addresses do not use up.
    with suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_DATA, (memory_bytes, memory_bytes))
    with suppress(ValueError, OSError):
        cpu = int(seconds * (os.cpu_count() or 1))
        resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu + 5))
