"""A real printer on loopback: the IPP Everywhere test server of Debian's cups-ipp-utils, with all it leans on.

It announces itself through Avahi, and that through a D-Bus of our own, so that the machine's is left alone. Test
workers share the two, as there is one Avahi a machine; each starts a printer of its own.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tackside.errors import PrinterTrouble
from tackside.run.ipp.client import Connection
from tackside.run.ipp.job import ask_printer

TERN = Path(__file__).parent.parent / "data" / "tern-8.conf"
_SHARED = Path(tempfile.gettempdir()) / f"tackside-test-bus-{os.getuid()}"
_PATH = os.pathsep.join((os.environ.get("PATH", os.defpath), "/usr/sbin", "/sbin"))
_BUS = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>session</type><listen>unix:path={socket}</listen><auth>EXTERNAL</auth>
<policy context="default"><allow user="*"/><allow own="*"/><allow send_type="method_call"/>
<allow send_type="signal"/><allow send_requested_reply="true"/><allow receive_type="method_call"/>
<allow receive_type="signal"/><allow receive_type="method_return"/><allow receive_type="error"/></policy></busconfig>
"""
_AVAHI = """[server]
host-name=tackside-test
use-ipv4=yes
use-ipv6=no
allow-interfaces=lo
enable-dbus=yes
[publish]
publish-workstation=no
publish-hinfo=no
"""


@dataclass(frozen=True)
class RealPrinter:
    """A running printer: its address, its process, and the folder in which its command notes what it was given."""

    uri: str
    process: subprocess.Popen[bytes]
    folder: Path

    def vanish(self) -> None:
        """As when someone pulls the plug."""
        self.process.kill()
        self.process.wait()


def tool(name: str) -> str:
    found = shutil.which(name, path=_PATH)
    assert found, f"{name} is missing; services.provide() installs it"
    return found


@contextlib.contextmanager
def real_printer(folder: Path, command: str = "", attributes: Path | None = TERN) -> Iterator[RealPrinter]:
    """Start a printer; its command (shell, ``$1`` is the file) decides what becomes of a job.

    ``attributes`` is the file that says what it can do; None: the server's own printer.
    """
    with announcing() as address, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        spool = folder / "spool"
        spool.mkdir(parents=True)
        more = [
            "-d",
            str(spool),
            "-k",
            *(["-a", str(attributes)] if attributes else ["-f", "application/pdf"]),
        ]
        if command:
            script = folder / "command.sh"
            script.write_text(f"#!/bin/sh\ncd {folder}\nenv > given.env\n{command}\n", encoding="utf-8")
            script.chmod(0o755)
            more += ["-c", str(script)]
        process = subprocess.Popen(
            [tool("ippeveprinter"), "-p", str(port), "-n", "localhost", *more, f"Tern {port}"],
            env={**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": address},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        uri = f"ipp://localhost:{port}/ipp/print"
        try:
            _wait_until_it_answers(uri, process)
            yield RealPrinter(uri, process, folder)
        finally:
            process.kill()
            process.wait()


def _wait_until_it_answers(uri: str, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 20
    while True:
        try:
            ask_printer(Connection(uri))
        except PrinterTrouble:
            assert process.poll() is None, "the test printer did not start"
            assert time.monotonic() < deadline, "the test printer does not answer"
            time.sleep(0.1)
        else:
            return


@contextlib.contextmanager
def announcing() -> Iterator[str]:
    """The shared D-Bus and Avahi: the first user starts them, the last one ends them."""
    _SHARED.mkdir(exist_ok=True)
    address = f"unix:path={_SHARED / 'bus'}"
    with _locked():
        users = _users()
        if not users:
            _start(address)
        _note_users([*users, os.getpid()])
    try:
        yield address
    finally:
        with _locked():
            users = _users()
            users.remove(os.getpid())
            _note_users(users)
            if not users:
                _stop()


@contextlib.contextmanager
def _locked() -> Iterator[None]:
    with (_SHARED / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _users() -> list[int]:
    """The processes that use the bus and are still alive; none where the bus itself is not."""
    noted = [int(word) for word in _read("users").split()]
    running = [int(word) for word in _read("pids").split()]
    if not running or not all(map(_alive, running)):
        return []
    return [pid for pid in noted if _alive(pid)]


def _note_users(pids: list[int]) -> None:
    (_SHARED / "users").write_text(" ".join(map(str, pids)))


def _read(name: str) -> str:
    file = _SHARED / name
    return file.read_text() if file.exists() else ""


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except OSError:
        return False
    state = Path(f"/proc/{pid}/stat")
    return not state.exists() or state.read_text().rsplit(")", 1)[1].split()[0] != "Z"


def _start(address: str) -> None:
    (_SHARED / "bus").unlink(missing_ok=True)
    (_SHARED / "bus.conf").write_text(_BUS.format(socket=_SHARED / "bus"))
    (_SHARED / "avahi.conf").write_text(_AVAHI)
    env = {**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": address}
    bus = _detached([tool("dbus-daemon"), f"--config-file={_SHARED / 'bus.conf'}", "--nofork"], env)
    deadline = time.monotonic() + 10
    while not (_SHARED / "bus").exists():
        assert time.monotonic() < deadline, "D-Bus did not start"
        time.sleep(0.05)
    quiet = ("--no-drop-root", "--no-rlimits", "--no-chroot")
    avahi = _detached([tool("avahi-daemon"), "-f", str(_SHARED / "avahi.conf"), *quiet], env)
    (_SHARED / "pids").write_text(f"{bus} {avahi}")
    time.sleep(0.5)


def _detached(command: list[str], env: dict[str, str]) -> int:
    """Start something that may outlive this worker, as others use it too; its process id."""
    process = subprocess.Popen(
        command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    )
    process.returncode = 0  # whoever ends it is not always who began it; nobody is to be warned of that
    return process.pid


def _stop() -> None:
    for pid in reversed([int(word) for word in _read("pids").split()]):
        with contextlib.suppress(OSError):
            os.kill(pid, signal.SIGTERM)
        with contextlib.suppress(OSError):
            os.waitpid(pid, 0)
    (_SHARED / "pids").unlink(missing_ok=True)
