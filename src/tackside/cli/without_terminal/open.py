"""What a double click does: the workbench comes up in the browser, and ends when its last page was closed.

There is no terminal. Faults are shown as a page, the end comes from the pages, and from the signals that a session or
a machine ends its programs with.
"""

from __future__ import annotations

import logging
import os
import signal
import sys
import tempfile
import threading
import time
import traceback
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from tackside.cli.opening import clear, open_in_browser, wait, with_key
from tackside.cli.without_terminal import trouble
from tackside.cli.without_terminal.only_one import OnlyOne
from tackside.errors import TacksideError
from tackside.messages.message import Message

if TYPE_CHECKING:
    import uvicorn

    from tackside.web.shell.attendance import Attendance
    from tackside.web.workbench import Workbench

LOOK_SECONDS = 5.0
# The page that says it is closed still fetches its style and fonts.
FAREWELL_SECONDS = 1.5
LIBRARIES = "LD_LIBRARY_PATH"


def open_workbench(bench: str, passing: Path) -> int:
    """Open the workbench of a bench (a folder, or a database's URL) and keep it until it is left.

    ``passing`` is a folder of the user's for what may be lost. Returns the exit code: 0; 2, or 70 for a fault of our
    own, where a page says why not.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line has it, for the same reason
    logging.getLogger("pyvips").addHandler(logging.NullHandler())
    try:
        _open(bench, passing)
    except TacksideError as error:
        trouble.show(error.message)
        return 2
    except TimeoutError:
        trouble.show(Message("desktop.silent"))
        return 2
    except Exception as error:  # noqa: BLE001  the last net: nobody sees a traceback, and nobody sees nothing
        trouble.show(_own_fault(error))
        return 70
    return 0


def _open(bench: str, passing: Path) -> None:
    from tackside.bench.location import place_of, remember

    folder = remember(place_of(bench))
    with OnlyOne(passing, folder) as only:
        other = only.other()
        if other is not None:
            wait(open_in_browser(other, folder))
            return
        _serve(folder, only)


def _serve(folder: Path, only: OnlyOne) -> None:
    from tackside.cli.listening import LOOPBACK, listen, server_of, url_of

    libraries = os.environ.get(LIBRARIES)
    from tackside.web.app import create_app
    from tackside.web.safety.gate import new_key
    from tackside.web.shell.attendance import Attendance
    from tackside.web.workbench import Options

    attendance, key = Attendance(), new_key()
    app = create_app(folder, Options(attendance=attendance, key=key, keeps_sessions=True, warm=True))
    _as_before(libraries)
    with listen(LOOPBACK, None) as door:
        url = with_key(url_of(door), key)
        only.tell(url)
        if sys.stderr.isatty():
            print(f"Tackside is at {url}", file=sys.stderr)
        page = open_in_browser(url, folder)  # what it asks for waits at the door until the server is up
        server = server_of(app)
        threading.Thread(
            target=_watch, args=(attendance, app.state.workbench, server, only), name="watch", daemon=True
        ).start()
        _end_with_session(server)
        try:
            server.run(sockets=[door])
        finally:
            clear(page)


def _as_before(libraries: str | None) -> None:
    """OpenCV puts folders of its own into the way to libraries, which the browser that we start would look through."""
    os.environ.pop(LIBRARIES, None)
    if libraries is not None:
        os.environ[LIBRARIES] = libraries


def _watch(attendance: Attendance, workbench: Workbench, server: uvicorn.Server, only: OnlyOne) -> None:
    """End the server once a person has asked for it, or has gone and nothing is at work any more."""
    while not attendance.end.wait(LOOK_SECONDS):
        if server.should_exit or (attendance.is_left() and not _is_at_work(workbench)):
            break
    only.tell("")
    if attendance.end.is_set():
        time.sleep(FAREWELL_SECONDS)
    server.should_exit = True


def _is_at_work(workbench: Workbench) -> bool:
    try:
        return bool(workbench.bench.jobs.list(is_open=True, count=1))
    except TacksideError:  # a bench that cannot be asked has nothing at work that this program could finish
        return False


def _end_with_session(server: uvicorn.Server) -> None:
    """A session or a terminal that ends takes the workbench along, in order.

    The server hears Ctrl-C and SIGTERM by itself, and raises them again once it has ended: nothing is left to do then.
    """

    def end(number: int, frame: FrameType | None) -> None:
        server.should_exit = True

    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK"):
        if (number := getattr(signal, name, None)) is not None:
            signal.signal(number, end)


def _own_fault(error: Exception) -> Message:
    """Keep the details in a file, for whoever fixes it."""
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", prefix="tackside-", suffix=".txt", delete=False
    ) as details:
        traceback.print_exception(error, file=details)
    return Message("desktop.own-fault", kind=f"{type(error).__name__}: {error}", file=details.name)
