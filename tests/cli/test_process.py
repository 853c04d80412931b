"""How seldom a process looks through its objects: seldom where it answers one call, as ever where it stays."""

from __future__ import annotations

import gc
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tackside import __main__
from tackside.cli import main, process


@pytest.fixture(autouse=True)
def _put_back(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.delitem(
        sys.modules, process.COUNTS_WHAT_IS_LEFT, raising=False
    )  # as before a command loads it
    before = gc.get_threshold()
    yield
    gc.unfreeze()
    gc.set_threshold(*before)


def test_one_call_is_looked_through_seldom_and_not_at_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    def call() -> int:
        seen.append((gc.get_threshold()[0], gc.isenabled(), gc.get_freeze_count()))
        return 3

    monkeypatch.setattr(main, "main", call)
    assert __main__.run() == 3
    assert seen == [(process.OBJECTS, True, 0)]
    assert gc.get_freeze_count() > 1000


def test_a_call_that_ends_in_an_error_ends_so() -> None:
    with pytest.raises(SystemExit):
        process.answered(lambda: sys.exit(2))
    assert gc.get_freeze_count() > 1000


def test_what_stays_collects_as_usual() -> None:
    process.collect_seldom()
    process.collect_as_usual()
    assert gc.get_threshold() == process.USUAL


def test_a_call_that_read_a_code_says_nothing_at_its_end() -> None:
    # The reader's binding counts its types and instances as the process ends, and prints those that nobody freed.
    code = (
        "import sys\n"
        "from tackside.cli.process import answered, collect_seldom\n"
        "collect_seldom()\n"
        "def call():\n"
        "    import numpy\n"
        "    from tackside.reading.scan.marks.detections import find_tags\n"
        "    find_tags(numpy.zeros((50, 50), numpy.uint8), 1)\n"
        "    return 0\n"
        "sys.exit(answered(call))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def ended(code: str) -> tuple[int, str, str]:
    words = [sys.executable, "-c", f"from tackside.cli.process import leave\n{code}"]
    done = subprocess.run(words, capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr


def test_what_was_asked_for_at_the_end_is_done_once_and_all_is_said() -> None:
    code = "import atexit\natexit.register(print, 'after')\nprint('said')\nleave(3)\n"
    assert ended(code) == (3, "said\nafter\n", "")


def test_a_passing_folder_goes_with_the_process() -> None:
    code = "import tempfile\nfolder = tempfile.TemporaryDirectory()\nprint(folder.name)\nleave(0)\n"
    _, said, _ = ended(code)
    assert said.strip()
    assert not Path(said.strip()).exists()


def test_a_thread_at_work_is_waited_for() -> None:
    code = (
        "import threading, time\n"
        "def work():\n"
        "    time.sleep(0.3)\n"
        "    print('done')\n"
        "threading.Thread(target=work).start()\n"
        "leave(4)\n"
    )
    assert ended(code) == (4, "done\n", "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device here that is always full")
def test_what_can_not_be_written_is_no_success() -> None:
    code = "from tackside.cli.process import leave\nprint('said')\nleave(0)\n"
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([sys.executable, "-c", code], stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode != 0
