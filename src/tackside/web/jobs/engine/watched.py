"""The watched folder: a scan that the scanner's own program saves there is taken up by itself."""

from __future__ import annotations

import logging
import threading
import time
from pathlib import Path

from tackside.errors import TacksideError
from tackside.files.outside import suffix_of
from tackside.web.workbench import Workbench

SCANS = (".tif", ".png", ".jpg", ".heic", ".pdf")
# A scanner writes for a while: a file is taken when its size has not changed for so long.
SETTLED_SECONDS = 2.0
log = logging.getLogger(__name__)


class Watcher:
    """A thread that looks into one folder, named when the program was started."""

    def __init__(self, workbench: Workbench) -> None:
        assert workbench.options.watched is not None
        self._workbench, self._folder = workbench, workbench.options.watched
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._watch, name="watched folder", daemon=True)
        self._sizes: dict[Path, tuple[int, float]] = {}
        self._taken = set(self._files())  # what lies there already is not new

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._stopping.set()
        self._thread.join(timeout=5.0)

    def _watch(self) -> None:
        from watchfiles import watch  # only where a folder is watched

        while not self._stopping.is_set():
            try:
                for _ in watch(
                    self._folder,
                    stop_event=self._stopping,
                    rust_timeout=1000,
                    yield_on_timeout=True,
                    recursive=False,
                ):
                    self._look()
            except (OSError, RuntimeError) as error:  # a folder on a drive that went away
                log.warning("cannot watch %s: %s", self._folder, error)
                self._stopping.wait(10.0)

    def _look(self) -> None:
        for file in self._files():
            if file in self._taken:
                continue
            try:
                size = file.stat().st_size
                known, since = self._sizes.get(file, (-1, 0.0))
                if size != known:
                    self._sizes[file] = (size, time.monotonic())
                elif size > 0 and time.monotonic() - since >= SETTLED_SECONDS:
                    self._take(file)
            except OSError as error:
                log.warning("cannot read %s: %s", file, error)

    def _take(self, file: Path) -> None:
        self._taken.add(file)
        self._sizes.pop(file, None)
        if suffix_of(file) not in SCANS:
            return
        bench = self._workbench.bench
        try:
            sha256 = bench.keep_file(file)
            bench.jobs.add("arrived", {"files": [{"sha256": sha256, "name": file.name}]})
            self._workbench.runner.wake()
        except TacksideError as error:
            self._taken.discard(file)  # again, once the disk has room
            log.warning("cannot keep %s: %s", file, error)

    def _files(self) -> list[Path]:
        try:
            return [
                each for each in self._folder.iterdir() if each.is_file() and not each.name.startswith(".")
            ]
        except OSError:
            return []
