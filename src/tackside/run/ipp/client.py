"""One request to a printer, one answer: IPP over HTTP (RFC 8010 section 4), with limits on size and time."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import httpx

from tackside import __version__
from tackside.errors import BadRequest, PrinterTrouble
from tackside.run.ipp.codec import decode, encode
from tackside.run.ipp.values import Attribute, Group, Message, Tag, attribute

PORT = 631  # RFC 3510
LARGEST_ANSWER = 4_000_000
CHUNK = 65_536
# A printer that has just woken may think for a while before it answers.
ANSWER_SECONDS = 30.0
_SUCCESS = range(0x0100)
_VERSION_NOT_SUPPORTED = 0x0503

_ON_HTTP = {
    401: (
        "asks for a name and a password, which Tackside does not send",
        "allow printing without one on your own network",
    ),
    403: ("does not let this computer print", "allow it in the printer's own settings"),
    404: ("has no printer at that address", "see its address with tackside printer find"),
    426: ("wants an encrypted connection", "write ipps:// in place of ipp://"),
}


class NoAnswer(PrinterTrouble):
    """The printer cannot be reached, or fell silent: what it did with the last request is not known."""


@dataclass
class Connection:
    """A printer by its address, ``ipp://host[:port]/path`` (or ``ipps``). Raises BadRequest for any other.

    ``transport`` is for tests. No proxy is asked: the printer stands on the user's own network.
    """

    uri: str
    answer_seconds: float = ANSWER_SECONDS
    transport: httpx.BaseTransport | None = None
    _number: int = field(default=0, init=False)
    _version: tuple[int, int] = field(default=(2, 0), init=False)

    def __post_init__(self) -> None:
        self._http = _http_address(self.uri)

    def ask(
        self,
        operation: int,
        attributes: Iterable[Attribute] = (),
        job: Iterable[Attribute] = (),
        document: Path | None = None,
        *,
        accept: Iterable[int] = (),
    ) -> Message:
        """Send a request and return the answer.

        ``attributes`` join the operation group after charset, language and printer-uri; ``job`` becomes the job
        group. Raises PrinterTrouble where the printer cannot be reached, answers nonsense, or refuses with a status
        that is not in ``accept``.
        """
        answer = self._once(operation, attributes, job, document)
        if answer.code == _VERSION_NOT_SUPPORTED and self._version == (2, 0):
            self._version = (1, 1)
            answer = self._once(operation, attributes, job, document)
        if answer.code not in _SUCCESS and answer.code not in tuple(accept):
            raise refusal(answer)
        return answer

    def _once(
        self, operation: int, attributes: Iterable[Attribute], job: Iterable[Attribute], document: Path | None
    ) -> Message:
        self._number += 1
        head = (
            attribute("attributes-charset", Tag.CHARSET, "utf-8"),
            attribute("attributes-natural-language", Tag.NATURAL_LANGUAGE, "en"),
            attribute("printer-uri", Tag.URI, self.uri),
            *attributes,
        )
        asked = tuple(job)
        groups = (Group(Tag.OPERATION, head), *((Group(Tag.JOB, asked),) if asked else ()))
        request = encode(Message(operation, self._number, groups, self._version))
        answer, _ = decode(self._exchange(request, document))
        if answer.request_id != self._number:
            raise PrinterTrouble(
                "the printer answers another question than it was asked",
                "switch it off and on, then try again",
            )
        return answer

    def _exchange(self, request: bytes, document: Path | None) -> bytes:
        timeout = httpx.Timeout(self.answer_seconds, connect=min(10.0, self.answer_seconds))
        headers = {"Content-Type": "application/ipp", "User-Agent": f"tackside/{__version__}"}
        body: bytes | Iterator[bytes] = request if document is None else _with_document(request, document)
        try:
            with (
                httpx.Client(timeout=timeout, trust_env=False, transport=self.transport) as client,
                client.stream("POST", self._http, content=body, headers=headers) as answer,
            ):
                return self._read(answer)
        except httpx.TimeoutException as error:
            raise NoAnswer(
                f"the printer at {self.uri} does not answer", "see that it is switched on and on your network"
            ) from error
        except httpx.HTTPError as error:
            reason = " ".join(str(error).split())[:120] or type(error).__name__
            raise NoAnswer(
                f"cannot reach the printer at {self.uri} ({reason})",
                "see that it is switched on and on your network, and check its address",
            ) from error

    def _read(self, answer: httpx.Response) -> bytes:
        if answer.status_code != httpx.codes.OK:
            what, mend = _ON_HTTP.get(
                answer.status_code, (f"answers with HTTP status {answer.status_code}", "check its address")
            )
            raise PrinterTrouble(f"the printer at {self.uri} {what}", mend)
        deadline = time.monotonic() + self.answer_seconds
        data = bytearray()
        for chunk in answer.iter_bytes():
            data += chunk
            if len(data) > LARGEST_ANSWER or time.monotonic() > deadline:
                raise PrinterTrouble(f"the printer at {self.uri} answers without end", "switch it off and on")
        kind = answer.headers.get("Content-Type", "").split(";")[0].strip().lower()
        if kind != "application/ipp":
            raise PrinterTrouble(
                f"what answers at {self.uri} is no printer that speaks IPP",
                "see addresses with tackside printer find",
            )
        return bytes(data)


def refusal(answer: Message) -> PrinterTrouble:
    """A status other than successful, in words (RFC 8011 appendix B)."""
    words, mend = _STATUS.get(
        answer.code, (f"status {answer.code:#06x}", "see what the printer's display says")
    )
    said = next(iter(answer.group(Tag.OPERATION).get("status-message")), "")
    faulty = [each.name for each in answer.group(Tag.UNSUPPORTED_GROUP).attributes]
    details = f" ({', '.join(faulty)})" if faulty else ""
    own = f": {' '.join(said.split())[:160].rstrip('.')}" if isinstance(said, str) and said else ""
    return PrinterTrouble(f"the printer refuses: {words}{details}{own}", mend)


_LATER = "wait a little, then send again"
_STATUS = {
    0x0400: ("it calls the request faulty", "print by its driver: tackside run instructions"),
    0x0401: ("it does not allow that", "allow printing from this computer in the printer's settings"),
    0x0402: ("it wants to know who asks", "allow printing without a password on your own network"),
    0x0403: ("it does not let this computer print", "allow it in the printer's settings"),
    0x0404: ("that is not possible now", "see what the printer's display says"),
    0x0406: ("there is no such job or printer", "check the address with tackside printer find"),
    0x0408: ("the file is too large for it", "make the card as a smaller file"),
    0x040A: ("it does not take this kind of file", "print by its driver: tackside run instructions"),
    0x040B: ("it cannot do what was asked", "ask it what it can do: tackside printer ask"),
    0x0500: ("it has a fault of its own", "switch it off and on"),
    0x0501: ("it does not know this operation", "print by its driver: tackside run instructions"),
    0x0502: ("it is not available", "see what the printer's display says"),
    0x0503: ("it speaks another version of IPP", "print by its driver: tackside run instructions"),
    0x0504: ("it has a fault", "see what the printer's display says"),
    0x0505: ("it is short of memory for now", _LATER),
    0x0506: ("it takes no jobs", "let it accept jobs again at its display"),
    0x0507: ("it is busy", _LATER),
    0x0508: ("the job was cancelled", "send it again"),
}


def _http_address(uri: str) -> str:
    try:
        parts = urlsplit(uri.strip())
        port = parts.port or PORT
    except ValueError:
        parts, port = urlsplit(""), PORT
    scheme = {"ipp": "http", "ipps": "https"}.get(parts.scheme)
    if scheme is None or not parts.hostname or parts.username is not None:
        raise BadRequest(f'"{uri}" is no printer\'s address', "write it as ipp://printer.local/ipp/print")
    host = f"[{parts.hostname}]" if ":" in parts.hostname else parts.hostname
    return urlunsplit((scheme, f"{host}:{port}", parts.path or "/", parts.query, ""))


def _with_document(request: bytes, document: Path) -> Iterator[bytes]:
    yield request
    with document.open("rb") as file:
        while chunk := file.read(CHUNK):
            yield chunk
