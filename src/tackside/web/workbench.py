"""What one running workbench knows: its bench, its options, the jobs that it keeps going."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import Request

from tackside.bench.store import Bench
from tackside.files.atomic import explain

if TYPE_CHECKING:
    from tackside.web.jobs.engine.runner import Runner
    from tackside.web.phone.door import Doorway
    from tackside.web.safety.gate import Gate
    from tackside.web.shell.attendance import Attendance
    from tackside.workflow.placement import KnownPaths

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Options:
    """How the workbench is to be served.

    ``hosts`` are names, beside loopback's own, that a browser may call it by; ``any_address`` allows every address
    in figures as well. ``largest_upload`` is in bytes, for a single file. ``key`` lets in whoever opens the address
    that holds it, ``password`` others too; where both are None nobody is asked, which is for apps that no other program
    can reach. ``keeps_sessions``: they outlive the program. ``watched`` is a folder that a scanner saves into.
    ``attendance``: who started it has no terminal, so its pages say that they are open, and can close it.
    """

    hosts: tuple[str, ...] = ()
    any_address: bool = False
    largest_upload: int = 1024 * MEGABYTE
    password: str | None = field(default=None, repr=False)
    key: str | None = field(default=None, repr=False)
    keeps_sessions: bool = False
    watched: Path | None = None
    attendance: Attendance | None = None
    keep_jobs: bool = True
    warm: bool = False


@dataclass
class Workbench:
    """One bench being served; ``paths`` are those of its cards, ``secret`` is what its form tokens are made with."""

    bench: Bench
    options: Options
    gate: Gate
    runner: Runner
    printing: Runner
    scanning: Runner
    paths: KnownPaths
    secret: bytes = field(repr=False)
    doorway: Doorway

    def wake(self) -> None:
        """There is something new: a job, or one to be stopped."""
        self.runner.wake()
        self.printing.wake()
        self.scanning.wake()

    @property
    def incoming(self) -> Path:
        """Where uploads lie until they are kept; made when first needed. Raises StorageTrouble."""
        return self._folder("incoming")

    @property
    def cache(self) -> Path:
        """What can be made again: tiles, thumbnails. Raises StorageTrouble."""
        return self._folder("cache")

    def _folder(self, name: str) -> Path:
        folder = self.bench.folder / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise explain(error, folder, "write") from error
        return folder


def workbench_of(request: Request) -> Workbench:
    found = request.app.state.workbench
    assert isinstance(found, Workbench)
    return found
