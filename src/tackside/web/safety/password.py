"""The one password of a workbench that others may reach: hashed slowly, a few at a time.

Argon2id (docs/sources.md, S200) takes 64 MB and a good part of a second's work for each guess, so that guesses are dear
to whoever makes them. They must not be dear to us: few are looked at at once, a few wait, the rest is sent away.
"""

from __future__ import annotations

import hashlib
import hmac
import threading
from collections.abc import Callable

AT_ONCE = 1
WAITING = 4
LONGEST = 1000  # signs of a password that are looked at
LEAST_LENGTH = 10
MEMORY_KIB, PASSES, LANES, LENGTH = 64 * 1024, 3, 4, 32  # S200

Slow = Callable[[bytes, bytes], bytes]


class TooManyAtOnce(Exception):
    """As many guesses as may wait are waiting."""


def argon2id(password: bytes, salt: bytes) -> bytes:
    from argon2.low_level import Type, hash_secret_raw  # only where others are let in

    return hash_secret_raw(password, salt, PASSES, MEMORY_KIB, LANES, LENGTH, Type.ID)


class Password:
    """``seal`` is a key made of the password and the bench's secret: it changes with either."""

    def __init__(self, password: str, secret: bytes, slow: Slow = argon2id) -> None:
        self._salt = hashlib.sha256(b"password:" + secret).digest()[:16]
        self._slow = slow
        self._hash = slow(_bytes(password), self._salt)
        self.seal = hmac.new(secret, b"password:" + self._hash, hashlib.sha256).digest()
        # Browsers that were in before don't queue behind strangers.
        self._queues = {True: _Queue(), False: _Queue()}

    def is_right(self, given: str, *, is_stranger: bool) -> bool:
        """Raises TooManyAtOnce, at once."""
        with self._queues[is_stranger]:
            found = self._slow(_bytes(given), self._salt)
        return hmac.compare_digest(found, self._hash)


class _Queue:
    def __init__(self) -> None:
        self._places = threading.BoundedSemaphore(AT_ONCE + WAITING)
        self._at_work = threading.BoundedSemaphore(AT_ONCE)

    def __enter__(self) -> None:
        if not self._places.acquire(blocking=False):
            raise TooManyAtOnce
        self._at_work.acquire()

    def __exit__(self, *_: object) -> None:
        self._at_work.release()
        self._places.release()


def _bytes(password: str) -> bytes:
    return password[:LONGEST].encode("utf-8", "surrogatepass")
