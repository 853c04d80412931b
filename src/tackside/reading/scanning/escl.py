"""One eSCL scanner over HTTP: its documents, a scan job begun, its picture fetched, the job ended.

Nothing it says leads anywhere else: redirects are refused, and of the address of a job its path alone is taken.
"""

from __future__ import annotations

import hashlib
import ssl
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import httpx

from tackside.errors import ScannerTrouble
from tackside.files.atomic import explain
from tackside.network.calling import Endless, NotReached, Silent, body_of, calling, small_body
from tackside.reading.scanning.escl_offers import LARGEST_DOCUMENT

ANSWER_SECONDS = 30.0
# The lamp warms up, the carriage goes home; some scanners say nothing all the while.
PICTURE_SECONDS = 120.0
# Slower than the slowest network that scanners stand on; a picture at this rate would take the better part of a day.
_LEAST_BYTES_PER_SECOND, _SLOW_SECONDS = 2000.0, 60.0


class Busy(Exception):
    """Not now (HTTP 503): ask again after so many seconds, None where it does not say."""

    def __init__(self, seconds: float | None) -> None:
        super().__init__()
        self.seconds = seconds


class SettingsRefused(ScannerTrouble):
    """It was asked for what it will not do (HTTP 400, 409 or 415)."""


class NothingThere(Exception):
    """HTTP 404 or 410: no such document, or none any more."""


@dataclass
class EsclScanner:
    """A scanner by its address, ``http(s)://host[:port]/eSCL``.

    ``called_as``: the address in figures to call in place of the name. Scanners sign their own certificates, so no
    authority is asked; ``certificate`` is the SHA-256 of the one it had before, and another is refused.
    ``seen_certificate``: the one that it showed. ``transport`` is for tests.
    """

    address: str
    called_as: str | None = None
    certificate: str | None = None
    answer_seconds: float = ANSWER_SECONDS
    picture_seconds: float = PICTURE_SECONDS
    slow_seconds: float = _SLOW_SECONDS
    transport: httpx.BaseTransport | None = None
    seen_certificate: str | None = field(default=None, init=False)

    def document(self, name: str) -> bytes:
        """``ScannerCapabilities`` or ``ScannerStatus``. Raises ScannerTrouble, Busy."""
        try:
            with self._asked("GET", f"{self.address}/{name}") as answer:
                self._require(answer, 200)
                return small_body(answer, most_bytes=LARGEST_DOCUMENT)
        except NothingThere as error:
            raise ScannerTrouble("scanning.no-scanner-there", scanner=self.address) from error

    def begin(self, settings: bytes) -> str:
        """Begin a job; the address at which its pictures are. Raises ScannerTrouble, Busy."""
        try:
            with self._asked("POST", f"{self.address}/ScanJobs", settings) as answer:
                self._require(answer, 201)
                place = answer.headers.get("Location", "")
        except NothingThere as error:
            raise ScannerTrouble("scanning.no-scanner-there", scanner=self.address) from error
        # It may call itself by another name than we do: its path is on the machine that was asked.
        path = urlsplit(urljoin(f"{self.address}/ScanJobs", place[:500])).path.rstrip("/")
        if not place or path in ("", urlsplit(f"{self.address}/ScanJobs").path):
            raise ScannerTrouble("scanning.no-job", scanner=self.address)
        own = urlsplit(self.address)
        return own._replace(path=path).geturl()

    def fetch(self, job: str, into: Path, most_bytes: int, hear: Callable[[int], None]) -> None:
        """Write the job's next picture into a file; ``hear`` is told how many bytes are there.

        Raises ScannerTrouble, Busy, NothingThere, StorageTrouble.
        """
        with self._asked("GET", f"{job}/NextDocument", seconds=self.picture_seconds, is_long=True) as answer:
            self._require(answer, 200)
            started, size, hurry = time.monotonic(), 0, self.slow_seconds
            try:
                with into.open("wb") as file:
                    for chunk in body_of(answer):
                        size += len(chunk)
                        taken = time.monotonic() - started
                        if size > most_bytes:
                            raise ScannerTrouble("scanning.endless", scanner=self.address)
                        if taken > hurry and size / taken < _LEAST_BYTES_PER_SECOND:
                            raise ScannerTrouble("scanning.too-slow", scanner=self.address)
                        file.write(chunk)
                        hear(size)
            except OSError as error:
                raise explain(error, into, "write") from error

    def end(self, job: str) -> None:
        """Delete the job at the scanner, cancelling it where it is still at work. Whatever it says to that is dropped:
        this is the last that is asked of it."""
        with (
            suppress(ScannerTrouble, Busy, NothingThere),
            self._asked("DELETE", job, seconds=min(10.0, self.answer_seconds)),
        ):
            pass

    @contextmanager
    def _asked(
        self,
        method: str,
        address: str,
        body: bytes = b"",
        seconds: float | None = None,
        *,
        is_long: bool = False,
    ) -> Iterator[httpx.Response]:
        headers = {"Content-Type": "text/xml"} if body else {}
        is_tls = self.address.startswith("https:")
        try:
            with calling(
                method, address, seconds=seconds or self.answer_seconds, called_as=self.called_as, body=body,
                headers=headers, is_long=is_long, tls=_unchecked() if is_tls else None, transport=self.transport,
            ) as answer:  # fmt: skip
                if is_tls:
                    self._check_certificate(answer)
                yield answer
        except Silent as error:
            raise ScannerTrouble("scanning.silent", scanner=self.address) from error
        except NotReached as error:
            code = (
                "scanning.broke-off"
                if method == "GET" and "NextDocument" in address
                else "scanning.not-reached"
            )
            raise ScannerTrouble(code, scanner=self.address, reason=str(error)) from error
        except Endless as error:
            raise ScannerTrouble("scanning.endless", scanner=self.address) from error

    def _require(self, answer: httpx.Response, wanted: int) -> None:
        status = answer.status_code
        if status == wanted:
            return
        if status == 503:
            raise Busy(_seconds(answer.headers.get("Retry-After", "")))
        if status in (404, 410):
            raise NothingThere
        if 300 <= status < 400:
            leads = answer.headers.get("Location", "")[:200] or "?"
            raise ScannerTrouble("scanning.redirected", scanner=self.address, leads=leads)
        if status in (401, 403):
            raise ScannerTrouble("scanning.not-allowed", scanner=self.address)
        if status in (400, 409, 415):
            raise SettingsRefused("scanning.settings-refused", scanner=self.address, status=status)
        raise ScannerTrouble("scanning.http-status", scanner=self.address, status=status)

    def _check_certificate(self, answer: httpx.Response) -> None:
        stream: Any = answer.extensions.get("network_stream")
        session = None if stream is None else stream.get_extra_info("ssl_object")
        if session is None:  # a transport of the tests
            return
        found = hashlib.sha256(session.getpeercert(True) or b"").hexdigest()
        if self.certificate not in (None, found):
            raise ScannerTrouble("scanning.other-certificate", scanner=self.address)
        self.certificate = self.seen_certificate = found


def _unchecked() -> ssl.SSLContext:
    """Encrypted, by whatever certificate: which one it was is looked at afterwards."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname = False
    context.verify_mode = ssl.CERT_NONE
    return context


def _seconds(text: str) -> float | None:
    """Retry-After in seconds (RFC 9110 section 10.2.3); a date is not waited for."""
    return float(text) if text.isascii() and text.isdigit() and len(text) < 6 else None
