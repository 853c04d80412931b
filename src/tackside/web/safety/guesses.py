"""Wrong passwords, counted: by address, by browser that was in before, and all strangers together.

There is one password, so the account that strangers guess at is the workbench itself: the count of them all bounds
that. A browser that signed in before has a count of its own, so that strangers can make each other wait and never the
owner. Whoever sits at the machine has the key of its terminal besides, which is not guessed and never waits.
"""

from __future__ import annotations

import ipaddress
import threading
import time
from collections import deque
from collections.abc import Callable

# Guesses that fail: so many from one address or browser, and so many from all strangers, in this time.
WINDOW_SECONDS = 300.0
MOST_FROM_ONE = 5
MOST_FROM_STRANGERS = 50


class Guesses:
    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._failed: deque[tuple[float, str, bool]] = deque()

    def begin(self, who: str, *, is_stranger: bool) -> int:
        """Count a guess before it is looked at; 0, or the seconds to wait where it is one too many and not counted."""
        with self._lock:
            wait = self._wait(who, is_stranger)
            if wait == 0:
                self._failed.append((self._clock(), who, is_stranger))
            return wait

    def take_back(self, who: str) -> None:
        """The guess was right, or was never looked at."""
        with self._lock:
            for place in reversed(range(len(self._failed))):
                if self._failed[place][1] == who:
                    del self._failed[place]
                    return

    def _wait(self, who: str, is_stranger: bool) -> int:
        now = self._clock()
        while self._failed and self._failed[0][0] <= now - WINDOW_SECONDS:
            self._failed.popleft()
        own = [when for when, each, _ in self._failed if each == who]
        strangers = [when for when, _, strange in self._failed if strange]
        waits = [0.0]
        if len(own) >= MOST_FROM_ONE:
            waits.append(own[-MOST_FROM_ONE] + WINDOW_SECONDS - now)
        if is_stranger and len(strangers) >= MOST_FROM_STRANGERS:
            waits.append(strangers[-MOST_FROM_STRANGERS] + WINDOW_SECONDS - now)
        return -int(-max(waits) // 1)  # rounded up


def one_of(address: str) -> str:
    """What counts as one address: of IPv6 a whole /64, any of which one machine may take (docs/sources.md, S202)."""
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(ipaddress.IPv6Network((int(found) >> 64 << 64, 64)))
