"""The gate of a workbench: whoever has its key or, where others are let in, its password; and their sessions.

Every account of a computer reaches the ports of 127.0.0.1. So the workbench asks for a key even there: a long random
name in the address that is opened, exchanged at once for a cookie.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tackside.messages.message import Message
from tackside.web.safety.guesses import Guesses, one_of
from tackside.web.safety.password import Password, Slow, TooManyAtOnce, argon2id
from tackside.web.safety.sessions import Sessions

SESSION_COOKIE = "tackside_session"
KNOWN_COOKIE = "tackside_known"
# A working day for a password; a month at one's own machine.
SESSION_SECONDS = 12 * 3600.0
OWN_SESSION_SECONDS = 30 * 24 * 3600.0
KNOWN_SECONDS = 365 * 24 * 3600
BUSY_SECONDS = 3


@dataclass(frozen=True)
class Attempt:
    """What an attempt came to: a ``session``, with the name by which the browser is ``known`` from now on; or
    ``wait_seconds`` until it may be tried again, the password not looked at, as there were too many wrong ones or
    (``is_busy``) too many come at once; or neither, where it was wrong."""

    session: str | None = None
    known: str | None = None
    wait_seconds: int = 0
    is_busy: bool = False

    @property
    def refusal(self) -> Message | None:
        """Why it was not looked at."""
        if not self.wait_seconds:
            return None
        code = "form.many-sign-in-at-once" if self.is_busy else "form.too-many-wrong-passwords"
        return Message(code, seconds=self.wait_seconds)


class Gate:
    """Open where there is neither password nor key, which is for apps that no other program can reach.

    ``secret`` is the bench's own. ``sessions_file``: where sessions outlive the program. ``clock`` counts guesses.
    """

    def __init__(
        self,
        password: str | None = None,
        *,
        key: str | None = None,
        secret: bytes | None = None,
        sessions_file: Path | None = None,
        clock: Callable[[], float] = time.monotonic,
        slow: Slow = argon2id,
    ) -> None:
        own = secret or secrets.token_bytes(32)
        self._key = key
        self._password = None if password is None else Password(password, own, slow)
        self._seal = hmac.new(own, b"key", hashlib.sha256).digest()
        if self._password is not None:
            self._seal = self._password.seal
        self._guesses = Guesses(clock)
        self._sessions = Sessions(self._seal, sessions_file, clock if sessions_file is None else time.time)
        # Cookies know no ports (docs/sources.md, S203): two benches at one address would take each other's.
        mark = hashlib.sha256(b"cookie:" + own).hexdigest()[:8]
        self.cookie, self.known_cookie = f"{SESSION_COOKIE}_{mark}", f"{KNOWN_COOKIE}_{mark}"

    @property
    def is_shut(self) -> bool:
        return self._password is not None or self._key is not None

    @property
    def has_password(self) -> bool:
        return self._password is not None

    @property
    def session_seconds(self) -> float:
        return SESSION_SECONDS if self.has_password else OWN_SESSION_SECONDS

    def lets_in(self, session: str | None) -> bool:
        """Whether a browser with this session may pass."""
        return not self.is_shut or self._sessions.holds(session)

    def open_with(self, key: str) -> str | None:
        """A new session for the right key. A key is too long to be guessed, so guesses are not counted."""
        if self._key is None or not hmac.compare_digest(key.encode("utf-8", "replace"), self._key.encode()):
            return None
        return self._sessions.begin(self.session_seconds)

    def enter(self, password: str, address: str, known: str | None = None) -> Attempt:
        """Try a password. ``known`` is what the browser was called when it was let in before, if it was."""
        assert self._password is not None
        is_stranger = not self._is_known(known)
        who = one_of(address) if is_stranger else f"known {known}"
        if wait := self._guesses.begin(who, is_stranger=is_stranger):
            return Attempt(wait_seconds=wait)
        try:
            is_right = self._password.is_right(password, is_stranger=is_stranger)
        except TooManyAtOnce:
            self._guesses.take_back(who)
            return Attempt(wait_seconds=BUSY_SECONDS, is_busy=True)
        if not is_right:
            return Attempt()
        self._guesses.take_back(who)
        return Attempt(self._sessions.begin(self.session_seconds), self.known_name())

    def leave(self, session: str | None) -> None:
        self._sessions.end(session)

    def known_name(self) -> str:
        """A name for a browser that has been in. It opens nothing: its wrong passwords are counted by it."""
        name = secrets.token_urlsafe(16)
        return f"{name}.{self._signed(name)}"

    def _is_known(self, known: str | None) -> bool:
        name, _, signature = (known or "").partition(".")
        return hmac.compare_digest(signature.encode("utf-8", "replace"), self._signed(name).encode())

    def _signed(self, name: str) -> str:
        return hmac.new(self._seal, b"known:" + name.encode("utf-8", "replace"), hashlib.sha256).hexdigest()


def new_key() -> str:
    return secrets.token_urlsafe(32)
