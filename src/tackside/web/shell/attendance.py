"""Whether anybody still has a page open, for a workbench that nobody can end from a terminal.

Each page says that it is here, again now and then, and that it goes. A browser puts pages to sleep that nobody looks
at, and they say nothing then: so a page counts as open until it has said that it goes, or been silent for hours.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from starlette.types import ASGIApp, Receive, Scope, Send

# From one page to the next, or until a browser opened by hand is there.
GRACE_SECONDS = 120.0
# A browser that crashed has said no farewell for its pages.
SILENT_SECONDS = 6 * 3600.0
MOST_PAGES = 1000


class Attendance:
    """Which pages are open, by names that they give themselves; and whether a person has asked for the end."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._pages: dict[str, float] = {}
        self._has_met = False
        self._asked = clock()
        self.end = threading.Event()

    def here(self, page: str) -> None:
        with self._lock:
            self._has_met = True
            if page in self._pages or len(self._pages) < MOST_PAGES:
                self._pages[page] = self._clock()

    def gone(self, page: str) -> None:
        with self._lock:
            self._pages.pop(page, None)

    def asked(self) -> None:
        """Somebody asked for something: a page that is being opened, a program that uses the records."""
        self._asked = self._clock()

    def is_left(self) -> bool:
        """Whether all pages have been closed, and nothing was asked for since, for as long as a person may need."""
        now = self._clock()
        with self._lock:
            self._pages = {page: heard for page, heard in self._pages.items() if now - heard < SILENT_SECONDS}
            patience = GRACE_SECONDS if self._has_met else SILENT_SECONDS
            return not self._pages and now - self._asked >= patience


class Attended:
    """ASGI middleware: every request is noted."""

    def __init__(self, app: ASGIApp, attendance: Attendance) -> None:
        self._app = app
        self._attendance = attendance

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            self._attendance.asked()
        await self._app(scope, receive, send)
