"""One scan by eSCL from the first question to a whole file, its job deleted at the scanner whatever happens."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from tackside.errors import ScannerTrouble, ScanStopped
from tackside.reading.scanning.escl import Busy, EsclScanner, NothingThere, SettingsRefused
from tackside.reading.scanning.escl_offers import EsclOffers, EsclStatus, escl_offers, escl_status
from tackside.reading.scanning.escl_settings import asked_in_turn, asked_of, settings_document
from tackside.reading.scanning.wish import ScanAsked, ScanWish

Hear = Callable[[str, float], None]
"""Told what is being done (``asking``, ``waiting``, ``scanning``) and how much of it, 0 to 1."""
Stop = Callable[[], bool]

# What a person has to see to, by the state reasons of the PWG's semantic model (PWG 5100.9) that a flatbed may give.
_REASONS = {
    "cover-open": "scanning.cover-open",
    "door-open": "scanning.cover-open",
    "interlock-open": "scanning.cover-open",
    "media-jam": "scanning.jammed",
    "paused": "scanning.paused",
    "lamp-failure": "scanning.lamp",
}


@dataclass(frozen=True)
class Patience:
    """How long a busy scanner is waited for (``busy_s``), how long one that has begun takes to give a picture
    (``picture_s``), between how many seconds it is asked."""

    busy_s: float = 90.0
    picture_s: float = 240.0
    least_pause_s: float = 1.0
    most_pause_s: float = 15.0


PATIENT = Patience()


def offers_of(scanner: EsclScanner) -> EsclOffers:
    """What the scanner can do. Raises ScannerTrouble."""
    try:
        return escl_offers(scanner.document("ScannerCapabilities"), scanner.address)
    except Busy as error:
        raise ScannerTrouble("scanning.busy", scanner=scanner.address) from error


Note = Callable[[str], None]
"""Told the address of a job that begins, and nothing when it has ended."""


def unnoted(_job: str) -> None:
    """Nobody notes the job."""


def scan_by_escl(
    scanner: EsclScanner,
    wish: ScanWish,
    into: Path,
    hear: Hear,
    stop: Stop,
    patience: Patience = PATIENT,
    note: Note = unnoted,
) -> tuple[ScanAsked, EsclOffers]:
    """Scan what lies on the glass into a file; what was asked for. Raises ScannerTrouble, StorageTrouble.

    Nothing is left behind where it fails: neither a file nor a job at the scanner. ``note`` is told the address of the
    job while it stands, and nothing when it is over, for whoever has to end it where this program is killed.
    """
    hear("asking", 0.0)
    offers = offers_of(scanner)
    asked = asked_of(offers, wish, scanner.address)
    whole = False
    try:
        asked, job = _begun(scanner, offers, asked, hear, stop, patience)
        try:
            note(job)
            with _cancelled_on(stop, scanner, job) as stopped:
                try:
                    _fetched(scanner, job, asked, into, hear, stop, patience)
                except ScannerTrouble:
                    if not stopped.is_set():
                        raise
                if stopped.is_set():
                    raise ScanStopped("scanning.stopped")
            whole = True
        finally:
            scanner.end(job)
            note("")
    finally:
        if not whole:
            with suppress(OSError):
                into.unlink(missing_ok=True)
    return asked, offers


def _begun(
    scanner: EsclScanner, offers: EsclOffers, asked: ScanAsked, hear: Hear, stop: Stop, patience: Patience
) -> tuple[ScanAsked, str]:
    """What it was asked for at last, and the job."""
    deadline = time.monotonic() + patience.busy_s
    turns = list(asked_in_turn(asked))
    while True:
        try:
            return turns[0], scanner.begin(settings_document(offers, turns[0]))
        except SettingsRefused:
            del turns[0]
            if not turns:
                raise
        except Busy as busy:
            _require_ready(scanner)
            hear("waiting", 0.0)
            if not _paused(busy.seconds, deadline, stop, patience):
                raise ScannerTrouble("scanning.busy", scanner=scanner.address) from busy


def _fetched(
    scanner: EsclScanner, job: str, asked: ScanAsked, into: Path, hear: Hear, stop: Stop, patience: Patience
) -> None:
    deadline = time.monotonic() + patience.picture_s
    hear("scanning", 0.0)
    while True:
        try:
            scanner.fetch(job, into, asked.most_bytes, _in_hundredths(asked.usual_bytes, hear))
        except Busy as busy:
            _require_ready(scanner)
            if not _paused(busy.seconds, deadline, stop, patience):
                raise ScannerTrouble("scanning.never-ready", scanner=scanner.address) from busy
        except NothingThere as error:
            _require_ready(scanner)
            raise ScannerTrouble("scanning.no-picture", scanner=scanner.address) from error
        else:
            return


def _in_hundredths(usual_bytes: int, hear: Hear) -> Callable[[int], None]:
    """Tells how much is there whenever it is a hundredth more: a picture comes in thousands of pieces."""
    told = 0

    def tell(size: int) -> None:
        nonlocal told
        now = min(99, 100 * size // usual_bytes)
        if now > told:
            told = now
            hear("scanning", now / 100)

    return tell


def _paused(seconds: float | None, deadline: float, stop: Stop, patience: Patience) -> bool:
    """Wait as long as it asked for, within reason; False where the time is up. Raises ScanStopped when stopped."""
    pause = min(max(seconds or 0.0, patience.least_pause_s), patience.most_pause_s)
    until = min(time.monotonic() + pause, deadline)
    while (left := until - time.monotonic()) > 0:
        if stop():
            raise ScanStopped("scanning.stopped")
        time.sleep(min(0.25, left))
    return time.monotonic() < deadline


def _require_ready(scanner: EsclScanner) -> None:
    """Raises ScannerTrouble where the scanner says that somebody has to see to it."""
    try:
        status = escl_status(scanner.document("ScannerStatus"), scanner.address)
    except (ScannerTrouble, Busy):  # it said enough by being busy
        return
    require_no_trouble(status, scanner.address)


def require_no_trouble(status: EsclStatus, where: str) -> None:
    """Raises ScannerTrouble where a state reason asks for a person, or the scanner is down."""
    for reason in status.reasons:
        for known, code in _REASONS.items():
            if reason.startswith(known):
                raise ScannerTrouble(code, scanner=where)
    if status.state in ("Stopped", "Down"):
        raise ScannerTrouble("scanning.down", scanner=where)


@contextmanager
def _cancelled_on(stop: Stop, scanner: EsclScanner, job: str) -> Iterator[threading.Event]:
    """Delete the job as soon as ``stop`` says so: the scanner may be silent for a while, and then goes on for long."""
    over, stopped = threading.Event(), threading.Event()

    def watch() -> None:
        while not over.wait(0.25):
            if stop():
                stopped.set()
                scanner.end(job)
                return

    watcher = threading.Thread(target=watch, name="stop scanning", daemon=True)
    watcher.start()
    try:
        yield stopped
    finally:
        over.set()
        watcher.join(timeout=15.0)
