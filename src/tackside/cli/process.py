"""What a process that answers one call need not do: look through all its objects again and again, and as it ends.

Loading a command makes some hundred thousand objects that live to the end, and Python's collector looked through them
hundreds of times, for a third of the time of a short command. What nothing refers to is freed all the same. Taking
modules apart one by one as the process ends took up to 0.3 s more; the system frees their memory as a whole.
"""

from __future__ import annotations

import atexit
import gc
import os
import sys
import threading
from collections.abc import Callable
from typing import NoReturn

USUAL = gc.get_threshold()
# New ones between two looks: a command loads 100,000 to 180,000 of them, some 40 MB, and one look takes 30 ms.
OBJECTS = 300_000
# A library that counts what is left at the very end, and complains of what the collector would have freed.
COUNTS_WHAT_IS_LEFT = "zxingcpp"


def collect_seldom() -> None:
    """For a process that answers one call."""
    gc.set_threshold(OBJECTS, *USUAL[1:])


def collect_as_usual() -> None:
    """For a process that stays."""
    gc.set_threshold(*USUAL)


def answered(call: Callable[[], int]) -> int:
    """What one call gives. Files, folders and threads are seen to as ever after it; memory goes back as a whole."""
    try:
        return call()
    finally:
        if COUNTS_WHAT_IS_LEFT not in sys.modules:
            gc.freeze()


def leave(code: int) -> NoReturn:
    """End the process, after all that was asked to be done at its end; modules are not taken apart.

    As ever where a thread is still at work, or where what was said can't be written.
    """
    if all(thread.daemon or thread is threading.main_thread() for thread in threading.enumerate()):
        try:
            atexit._run_exitfuncs()  # each once, even where Python then runs them itself
            sys.stdout.flush()
            sys.stderr.flush()
        except (OSError, ValueError, AttributeError):  # the last: a process without a terminal has no streams
            sys.exit(code)
        os._exit(code)
    sys.exit(code)
