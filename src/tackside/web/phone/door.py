"""The door for a phone: a listener of its own on the local network, open while a person's page says so.

It opens at their press alone, on one address, for one trial. It shuts when the page that opened it shuts or falls
silent, at a press, after half an hour, and when too many wrong passwords were given.
"""

from __future__ import annotations

import logging
import secrets
import socket
import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from tackside.errors import StorageTrouble
from tackside.web.phone.visit import Visit
from tackside.web.safety.csrf import new_seat, token_for
from tackside.web.safety.gate import Gate

if TYPE_CHECKING:
    from starlette.types import ASGIApp

FIRST_PORT, TRIED = 8390, 20
SILENCE_SECONDS = 20.0  # the page speaks every 2 seconds
LONGEST_SECONDS = 30 * 60.0
MOST_CONNECTIONS = 40
MOST_WRONG = 20  # of 31⁶ passwords, about 9 · 10⁸
PASSWORD_SIGNS = "23456789abcdefghjkmnpqrstuvwxyz"  # none that looks like another
PASSWORD_LENGTH = 6

log = logging.getLogger(__name__)


class PhoneDoor:
    """One door, for one trial. ``token`` stands in its address; ``seat`` and ``secret`` make its forms' token.

    ``until``: when it shuts at the latest, by the clock on the wall.
    """

    def __init__(
        self, trial: str, beside: str | None, address: str, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.trial, self.beside, self.address = trial, beside, address
        self.token = secrets.token_urlsafe(16)
        self.password = "".join(secrets.choice(PASSWORD_SIGNS) for _ in range(PASSWORD_LENGTH))
        self.gate = Gate(self.password, clock=clock)
        self.csrf = token_for(seat := new_seat(), secret := secrets.token_bytes(32))
        self.seat, self.secret = seat, secret
        self.visit = Visit()
        self.wrong = 0
        self.port = 0
        self._clock = clock
        self._opened = self._heard = clock()
        self.until = datetime.now().astimezone() + timedelta(seconds=LONGEST_SECONDS)
        self._shut = threading.Event()
        self._server: PhoneServer | None = None

    @property
    def is_open(self) -> bool:
        """Asked before every answer: it is shut at the very moment that it is to be."""
        now = self._clock()
        return (
            not self._shut.is_set()
            and self.wrong < MOST_WRONG
            and now - self._heard <= SILENCE_SECONDS
            and now - self._opened <= LONGEST_SECONDS
        )

    @property
    def host(self) -> str:
        shown = f"[{self.address}]" if ":" in self.address else self.address
        return f"{shown}:{self.port}"

    @property
    def url(self) -> str:
        return f"http://{self.host}/{self.token}/"

    def heard(self) -> None:
        """The page that opened it is still there. A door once shut stays shut."""
        if self.is_open:
            self._heard = self._clock()

    def open(self, app: ASGIApp) -> None:
        """Listen. Raises StorageTrouble where the address cannot be listened on."""
        listening = _listening(self.address)
        self.port = int(listening.getsockname()[1])
        self._server = PhoneServer(app, listening)
        self._server.start()
        threading.Thread(target=self._watch, name="phone door", daemon=True).start()

    def shut(self) -> None:
        """Shut it: no connection is taken any more, and none is answered."""
        self._shut.set()
        if self._server is not None:
            self._server.stop()

    def _watch(self) -> None:
        while self.is_open:
            self._shut.wait(0.5)
        self.shut()


class PhoneServer:
    """uvicorn in a thread, on a socket that listens already."""

    def __init__(self, app: ASGIApp, listening: socket.socket) -> None:
        import uvicorn

        from tackside.web.safety.server import Limits, server_config

        self._listening = listening
        limits = Limits(connections=MOST_CONNECTIONS, from_one=MOST_CONNECTIONS)
        self._server = uvicorn.Server(
            server_config(app, limits, timeout_keep_alive=10, timeout_graceful_shutdown=1, lifespan="off")
        )
        self._thread = threading.Thread(target=self._run, name="phone server", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._server.should_exit = True
        if threading.current_thread() is not self._thread:
            self._thread.join(timeout=5.0)

    def _run(self) -> None:
        try:
            self._server.run(sockets=[self._listening])
        finally:
            self._listening.close()


class Doorway:
    """Where the door of a workbench is; there is one at a time."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._door: PhoneDoor | None = None

    def of(self, trial: str) -> PhoneDoor | None:
        """The door that is open for a trial."""
        door = self._door
        return door if door is not None and door.trial == trial and door.is_open else None

    def open(self, door: PhoneDoor, app: ASGIApp) -> None:
        """Open a door, after shutting the one before. Raises StorageTrouble."""
        with self._lock:
            if self._door is not None:
                self._door.shut()
            self._door = None
            door.open(app)
            self._door = door

    def shut(self) -> None:
        with self._lock:
            if self._door is not None:
                self._door.shut()
            self._door = None


def _listening(address: str) -> socket.socket:
    """A socket that listens on that address alone, on the first free port of ours, or any."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    for port in (*range(FIRST_PORT, FIRST_PORT + TRIED), 0):
        # The protocol is named, as asyncio sends small answers at once only on a socket that says it is TCP.
        made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        try:
            made.bind((address, port))
            made.listen(16)
        except OSError as error:
            made.close()
            reason = (error.strerror or str(error)).lower()
        else:
            return made
    raise StorageTrouble("phone.cannot-listen", address=address, reason=reason)
