"""A real PostgreSQL for the tests: a cluster in a temporary folder, on a socket there, as a user without rights."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

from tests.services import postgres

USER = "tackside"
START_SECONDS = 60.0
QUIET: dict[str, Any] = {
    "stdin": subprocess.DEVNULL,
    "stdout": subprocess.DEVNULL,
    "stderr": subprocess.DEVNULL,
    "cwd": "/",
}


@dataclass
class Server:
    """A running server. ``socket`` is the folder of its socket; nothing listens on a network."""

    programs: Path
    socket: Path
    account: str | None
    _numbers: Iterator[int] = field(default_factory=count)
    _process: subprocess.Popen[bytes] | None = None

    def url(self, database: str) -> str:
        return f"postgresql://{USER}@/{database}?host={self.socket}"

    def fresh(self) -> str:
        """The name of a new, empty database."""
        name = f"bench_{next(self._numbers)}"
        self.run(f"CREATE DATABASE {name} TEMPLATE template0")
        return name

    def run(self, statement: str, database: str = "postgres") -> str:
        call = [str(self.programs / "psql"), "-XAtq", "-h", str(self.socket), "-U", USER, "-d", database]
        done = subprocess.run([*call, "-c", statement], check=True, capture_output=True, text=True)
        return done.stdout.strip()

    def start(self) -> None:
        """Start it, and wait until it answers."""
        options = [
            "-k",
            str(self.socket),
            "-c",
            "listen_addresses=",
            "-c",
            "fsync=off",
            "-c",
            "max_connections=30",
        ]
        call = [str(self.programs / "postgres"), "-D", str(self.socket / "data"), *options]
        self._process = subprocess.Popen(call, **QUIET, **_as(self.account))
        ready = [str(self.programs / "pg_isready"), "-q", "-h", str(self.socket)]
        deadline = time.monotonic() + START_SECONDS
        while subprocess.run(ready, check=False, **QUIET).returncode:
            if self._process.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError("the test server does not start")
            time.sleep(0.05)

    def stop(self) -> None:
        """Stop it as a failing machine would: at once."""
        if self._process is not None:
            self._process.send_signal(signal.SIGQUIT)
            self._process.wait(timeout=START_SECONDS)
            self._process = None


@contextlib.contextmanager
def running() -> Iterator[Server | None]:
    """Start a server for the block; None where PostgreSQL is not installed."""
    programs = postgres()
    if programs is None:
        yield None
        return
    folder = Path(tempfile.mkdtemp(prefix="tackside-pg-"))
    account = _account()
    if account:
        shutil.chown(folder, account)
    folder.chmod(0o755)
    server = Server(Path(programs), folder, account)
    made = ["--auth=trust", f"--username={USER}", "--encoding=UTF8", "--locale=C.UTF-8", "--no-sync"]
    initdb = [str(server.programs / "initdb"), "-D", str(folder / "data"), *made]
    subprocess.run(initdb, check=True, **QUIET, **_as(account))
    try:
        server.start()
        yield server
    finally:
        server.stop()
        shutil.rmtree(folder, ignore_errors=True)


def _account() -> str | None:
    """PostgreSQL refuses to run as root: another user to run it as, None where we are one already."""
    if os.geteuid() != 0:
        return None
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"


def _as(account: str | None) -> dict[str, Any]:
    """The options of subprocess that run a program as another user."""
    if account is None:
        return {}
    user = pwd.getpwnam(account)
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
