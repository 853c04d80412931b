"""One fuzzer over one target, in a process of its own: ``python -m tests.fuzz.run NAME SCRATCH [OPTION…]``.

Our own modules are instrumented, and no other: their branches are what it looks for new ways through. ``SCRATCH`` is an
empty folder, on no disk if possible: files are written there a thousand times a second. Options, and folders of inputs
to begin with, are libFuzzer's.
"""

from __future__ import annotations

import ast
import contextlib
import io
import logging
import signal
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import atheris

import tackside

if TYPE_CHECKING:
    from tests.fuzz.targets import Target

SOURCE = Path(tackside.__file__).parent
# Of processor time, all threads together: what a machine does besides makes no input slow.
MOST_SECONDS = 10.0
# By the clock, for what never comes back.
WAITED_SECONDS = 300


class TooSlow(Exception):
    """An input took longer than any may."""


def compiled_by_numba() -> set[str]:
    """Modules whose functions numba compiles: it cannot compile them once they count their branches."""
    return {
        ".".join(("tackside", *file.relative_to(SOURCE).with_suffix("").parts))
        for file in SOURCE.rglob("*.py")
        if _imports_numba(file)
    }


def _imports_numba(file: Path) -> bool:
    return any(
        isinstance(each, ast.ImportFrom) and each.module == "numba"
        for each in ast.walk(ast.parse(file.read_bytes()))
    )


def known_target(name: str, scratch: Path) -> Target:
    """The target, instrumented, with all that it imports on its way through its own seeds."""
    sound = Path(tempfile.mkdtemp(dir=scratch))
    with (
        contextlib.redirect_stderr(io.StringIO()),  # a line for each module
        atheris.instrument_imports(include=["tackside"], exclude=list(compiled_by_numba())),
    ):
        from tests.fuzz.targets import targets

        target = targets(sound)[name]
        for seed in target.seeds:
            target.try_out(seed, scratch / "input")
    return target


def fuzz(target: Target, scratch: Path, options: Sequence[str], command: str = "fuzz") -> None:
    """Does not return: libFuzzer ends the process, with 0 where nothing was found. ``command`` is what it calls to
    begin itself again, as it does to choose which inputs to keep."""
    words, seeds, place = scratch / "words", scratch / "seeds", scratch / "input"
    words.write_text("".join(f'"{_quoted(word)}"\n' for word in target.words()), encoding="ascii")
    seeds.mkdir(exist_ok=True)
    for number, seed in enumerate(target.seeds):
        (seeds / f"{number}").write_bytes(seed)
    # A command may take 1 GB. A process that goes on holds what thousands of inputs left with the allocator besides.
    clock = (f"-timeout={WAITED_SECONDS}", f"-report_slow_units={WAITED_SECONDS}")
    limits = (*clock, "-rss_limit_mb=1500")
    shape = (f"-max_len={target.most_bytes}", f"-dict={words}", "-len_control=0", "-print_final_stats=1")

    def one(data: bytes) -> None:
        began = time.process_time()
        try:
            target.try_out(data, place)
            if (spent := time.process_time() - began) > MOST_SECONDS:
                raise TooSlow(f"{spent:.0f} s of processor time")
        except BaseException:
            # libFuzzer's clock for hangs ticks on while Python shuts down: the input would not be written.
            signal.setitimer(signal.ITIMER_REAL, 0)
            raise

    atheris.Setup([command, *limits, *shape, *options, str(seeds)], one)
    atheris.Fuzz()


def _quoted(word: bytes) -> str:
    """As libFuzzer's dictionaries spell bytes."""
    return "".join(chr(each) if chr(each).isalnum() else f"\\x{each:02x}" for each in word)


def main(arguments: Sequence[str]) -> None:
    name, scratch, *options = arguments
    logging.disable()
    again = f"{sys.executable} -m tests.fuzz.run {name} {scratch}"
    fuzz(known_target(name, Path(scratch)), Path(scratch), options, again)


if __name__ == "__main__":
    main(sys.argv[1:])
