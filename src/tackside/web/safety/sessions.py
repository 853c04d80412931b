"""Sessions of browsers: random names, known here by their digests alone, each with an end.

Where they are to outlive the program they lie in the bench's folder, readable by its owner alone. The digests are keyed
with a seal: a session that was begun with another password, or on another bench, is none here.
"""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import json
import secrets
import threading
import time
from collections.abc import Callable
from pathlib import Path

from tackside.files.atomic import TEMPORARY_PREFIX, new_private_file

MOST = 1000


class Sessions:
    def __init__(self, seal: bytes, file: Path | None = None, clock: Callable[[], float] = time.time) -> None:
        """``file`` is where they are kept, None: in memory. ``clock`` is that on the wall where they are kept."""
        self._seal, self._file, self._clock = seal, file, clock
        self._lock = threading.Lock()
        self._until: dict[str, float] = self._kept()

    def begin(self, seconds: float) -> str:
        """A new session, to be told to one browser."""
        name = secrets.token_urlsafe(32)
        with self._lock:
            self._until |= self._kept()  # another program on this bench may have begun some
            now = self._clock()
            alive = [(key, end) for key, end in self._until.items() if end > now]
            self._until = dict(sorted(alive, key=lambda each: each[1])[-(MOST - 1) :])
            self._until[self._digest(name)] = now + seconds
            self._keep()
        return name

    def holds(self, name: str | None) -> bool:
        if not name:
            return False
        with self._lock:
            return self._until.get(self._digest(name), 0.0) > self._clock()

    def end(self, name: str | None) -> None:
        with self._lock:
            if name and self._until.pop(self._digest(name), None) is not None:
                self._keep()

    def _digest(self, name: str) -> str:
        return hmac.new(self._seal, name.encode("utf-8", "replace"), hashlib.sha256).hexdigest()

    def _kept(self) -> dict[str, float]:
        """What is kept; nothing where it cannot be read or is none of ours."""
        if self._file is None:
            return {}
        try:
            found = json.loads(self._file.read_bytes()[: 200 * MOST])
            return {str(key): float(end) for key, end in found.items()}
        except (OSError, ValueError, TypeError, AttributeError, RecursionError):
            return {}

    def _keep(self) -> None:
        """Nothing is lost where this fails but that a browser asks again after a restart."""
        if self._file is None:
            return
        part = self._file.with_name(f"{TEMPORARY_PREFIX}{secrets.token_hex(8)}")
        try:
            with new_private_file(part) as file:
                file.write(json.dumps(self._until).encode("ascii"))
            part.replace(self._file)
        except OSError:
            with contextlib.suppress(OSError):
                part.unlink()
