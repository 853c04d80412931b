"""The gate of a workbench that others may reach: one password, sessions, and a limit on guesses.

The password is hashed with Argon2id when the program starts and kept nowhere else. Sessions live in memory: stopping
the program ends them all.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections import deque
from collections.abc import Callable

SESSION_COOKIE = "tackside_session"
SESSION_SECONDS = 12 * 3600.0
LEAST_LENGTH = 10
# Guesses that fail: so many from one address, and so many from all, in this time.
WINDOW_SECONDS = 300.0
MOST_FROM_ONE = 5
MOST_FROM_ALL = 50
MOST_SESSIONS = 1000


class Gate:
    """Open where there is no password."""

    def __init__(self, password: str | None, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._sessions: dict[str, float] = {}
        self._failed: deque[tuple[float, str]] = deque()
        self._hash: str | None = None
        if password is not None:
            from argon2 import PasswordHasher  # only where others are let in

            self._hasher = PasswordHasher()
            self._hash = self._hasher.hash(password)

    @property
    def is_shut(self) -> bool:
        return self._hash is not None

    def lets_in(self, session: str | None) -> bool:
        """Whether a browser with this session may pass."""
        if self._hash is None:
            return True
        if session is None:
            return False
        with self._lock:
            until = self._sessions.get(session)
            if until is None or until < self._clock():
                self._sessions.pop(session, None)
                return False
        return True

    def wait_seconds(self, address: str) -> int:
        """How long this address has to wait before it may guess again; 0 where it need not."""
        with self._lock:
            self._forget_old()
            from_one = [when for when, who in self._failed if who == address]
            waits = []
            if len(from_one) >= MOST_FROM_ONE:
                waits.append(from_one[-MOST_FROM_ONE] + WINDOW_SECONDS - self._clock())
            if len(self._failed) >= MOST_FROM_ALL:
                waits.append(self._failed[-MOST_FROM_ALL][0] + WINDOW_SECONDS - self._clock())
        return max((int(wait) + 1 for wait in waits), default=0)

    def enter(self, password: str, address: str) -> str | None:
        """A new session for the right password, None for a wrong one, which is counted."""
        from argon2.exceptions import Argon2Error

        assert self._hash is not None
        with self._lock:
            self._failed.append(
                (self._clock(), address)
            )  # counted before the slow check, taken back if right
        try:
            self._hasher.verify(self._hash, password[:1000])
        except Argon2Error:
            return None
        session = secrets.token_urlsafe(32)
        with self._lock:
            for place, (_, who) in enumerate(self._failed):
                if who == address:
                    del self._failed[place]
                    break
            if len(self._sessions) >= MOST_SESSIONS:
                self._sessions.pop(next(iter(self._sessions)))
            self._sessions[session] = self._clock() + SESSION_SECONDS
        return session

    def leave(self, session: str | None) -> None:
        with self._lock:
            self._sessions.pop(session or "", None)

    def _forget_old(self) -> None:
        while self._failed and self._failed[0][0] < self._clock() - WINDOW_SECONDS:
            self._failed.popleft()
