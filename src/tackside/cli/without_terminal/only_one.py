"""One workbench for one bench, however often its icon is pressed: later presses lead to the first one's page."""

from __future__ import annotations

import contextlib
import hashlib
import os
import time
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from tackside.files.atomic import lock

WAIT_SECONDS = 60.0
LOOK_SECONDS = 0.1


class OnlyOne:
    """The file that the workbench of a bench holds locked while it runs, with its address and key in it."""

    def __init__(self, folder: Path, bench: Path) -> None:
        """``folder`` is where the user's passing files lie. Raises OSError where it cannot be written to."""
        folder.mkdir(parents=True, exist_ok=True)
        name = hashlib.sha256(os.fsencode(bench.absolute())).hexdigest()[:16]
        self._path = folder / f"open-{name}.txt"
        # What stands in it opens the workbench.
        self._file: IO[bytes] = os.fdopen(
            os.open(self._path, os.O_CREAT | os.O_RDWR | os.O_APPEND, 0o600), "a+b"
        )
        if os.name == "posix":
            os.fchmod(self._file.fileno(), 0o600)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def other(self, wait_seconds: float = WAIT_SECONDS) -> str | None:
        """Where a workbench of this bench runs already; None once this is the only one.

        One that is about to come up, or about to end, is waited for. Raises TimeoutError where it does neither.
        """
        deadline = time.monotonic() + wait_seconds
        while not self._is_taken():
            with contextlib.suppress(OSError):
                if url := self._path.read_text(encoding="utf-8"):
                    return url
            if time.monotonic() >= deadline:
                raise TimeoutError
            time.sleep(LOOK_SECONDS)
        self.tell("")
        return None

    def tell(self, url: str) -> None:
        """Let later ones know where this workbench is; nothing, where it is about to end."""
        self._file.truncate(0)
        self._file.write(url.encode())
        self._file.flush()

    def _is_taken(self) -> bool:
        try:
            lock(self._file)
        except OSError:
            return False
        return True
