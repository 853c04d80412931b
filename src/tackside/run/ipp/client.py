"""One request to a printer, one answer: IPP over HTTP (RFC 8010 section 4), with limits on size and time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import SplitResult, urlsplit, urlunsplit

import httpx

from tackside.errors import BadRequest, PrinterTrouble
from tackside.messages.message import Message
from tackside.network.calling import Endless, NotReached, Silent, bracketed, calling, small_body
from tackside.run.ipp.codec import decode, encode
from tackside.run.ipp.values import AttributeGroup, IppAttribute, IppMessage, IppTag, attribute

PORT = 631  # RFC 3510
_SCHEMES = {"ipp": "http", "ipps": "https"}
LARGEST_ANSWER = 4_000_000
CHUNK = 65_536
# A printer that has just woken may think for a while before it answers.
ANSWER_SECONDS = 30.0
_SUCCESS = range(0x0100)
_VERSION_NOT_SUPPORTED = 0x0503

_ON_HTTP = {
    401: "ipp.http-password",
    403: "ipp.http-forbidden",
    404: "ipp.http-nothing-there",
    426: "ipp.http-encrypted-only",
}
# Statuses of RFC 8011 appendix B that the catalogue words, as ``ipp.status-0507``.
_STATUS = (
    *(0x0400, 0x0401, 0x0402, 0x0403, 0x0404, 0x0406, 0x0408, 0x040A, 0x040B),
    *(0x0500, 0x0501, 0x0502, 0x0503, 0x0504, 0x0505, 0x0506, 0x0507, 0x0508),
)


class NoAnswer(PrinterTrouble):
    """The printer cannot be reached, or fell silent: what it did with the last request is not known."""


@dataclass
class Connection:
    """A printer by its address, ``ipp://host[:port]/path`` (or ``ipps``). Raises BadRequest for any other.

    ``transport`` is for tests. No proxy is asked: the printer stands on the user's own network. ``called_as`` is the
    address in figures that is called in place of its name, which was looked up before.
    """

    uri: str
    answer_seconds: float = ANSWER_SECONDS
    transport: httpx.BaseTransport | None = None
    called_as: str | None = None
    _number: int = field(default=0, init=False)
    _version: tuple[int, int] = field(default=(2, 0), init=False)

    def __post_init__(self) -> None:
        self._http = _http_address(self.uri)

    def ask(
        self,
        operation: int,
        attributes: Iterable[IppAttribute] = (),
        job: Iterable[IppAttribute] = (),
        document: Path | None = None,
        *,
        accept: Iterable[int] = (),
    ) -> IppMessage:
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
        self,
        operation: int,
        attributes: Iterable[IppAttribute],
        job: Iterable[IppAttribute],
        document: Path | None,
    ) -> IppMessage:
        self._number += 1
        head = (
            attribute("attributes-charset", IppTag.CHARSET, "utf-8"),
            attribute("attributes-natural-language", IppTag.NATURAL_LANGUAGE, "en"),
            attribute("printer-uri", IppTag.URI, self.uri),
            *attributes,
        )
        asked = tuple(job)
        groups = (
            AttributeGroup(IppTag.OPERATION, head),
            *((AttributeGroup(IppTag.JOB, asked),) if asked else ()),
        )
        request = encode(IppMessage(operation, self._number, groups, self._version))
        answer, _ = decode(self._exchange(request, document))
        if answer.request_id != self._number:
            raise PrinterTrouble("ipp.other-answer")
        return answer

    def _exchange(self, request: bytes, document: Path | None) -> bytes:
        body: bytes | Iterator[bytes] = request if document is None else _with_document(request, document)
        try:
            with calling(
                "POST", self._http, seconds=self.answer_seconds, called_as=self.called_as, body=body,
                headers={"Content-Type": "application/ipp"}, transport=self.transport,
            ) as answer:  # fmt: skip
                return self._read(answer)
        except Silent as error:
            raise NoAnswer("ipp.silent", uri=self.uri) from error
        except NotReached as error:
            raise NoAnswer("ipp.not-reached", uri=self.uri, reason=str(error)) from error
        except Endless as error:
            raise PrinterTrouble("ipp.endless", uri=self.uri) from error

    def _read(self, answer: httpx.Response) -> bytes:
        if answer.status_code != httpx.codes.OK:
            if answer.status_code in _ON_HTTP:
                raise PrinterTrouble(_ON_HTTP[answer.status_code], uri=self.uri)
            raise PrinterTrouble("ipp.http-status", uri=self.uri, status=answer.status_code)
        data = small_body(answer, most_bytes=LARGEST_ANSWER)
        kind = answer.headers.get("Content-Type", "").split(";")[0].strip().lower()
        if kind != "application/ipp":
            raise PrinterTrouble("ipp.not-ipp", uri=self.uri)
        return data


def refusal(answer: IppMessage) -> PrinterTrouble:
    """A status other than successful (RFC 8011 appendix B), with the attributes at fault and what the printer says."""
    known = answer.code in _STATUS
    status = (
        Message(f"ipp.status-{answer.code:04x}")
        if known
        else Message("ipp.status-other", code=f"{answer.code:#06x}")
    )
    said = next(iter(answer.group(IppTag.OPERATION).get("status-message")), "")
    own = " ".join(said.split())[:160].rstrip(".") if isinstance(said, str) else ""
    faulty = [each.name for each in answer.group(IppTag.UNSUPPORTED_GROUP).attributes]
    if faulty and own:
        return PrinterTrouble("ipp.refused-naming-and-saying", status=status, attributes=faulty, own=own)
    if faulty:
        return PrinterTrouble("ipp.refused-naming", status=status, attributes=faulty)
    if own:
        return PrinterTrouble("ipp.refused-saying", status=status, own=own)
    return PrinterTrouble("ipp.refused", status=status)


def host_and_port(uri: str) -> tuple[str, int]:
    """Where a printer's address leads. Raises BadRequest where it is none."""
    parts = _parts(uri)
    return parts.hostname or "", parts.port or PORT


def _http_address(uri: str) -> str:
    parts, (host, port) = _parts(uri), host_and_port(uri)
    place = f"{bracketed(host)}:{port}"
    return urlunsplit((_SCHEMES[parts.scheme], place, parts.path or "/", parts.query, ""))


def _parts(uri: str) -> SplitResult:
    try:
        parts = urlsplit(uri.strip())
        sound = parts.scheme in _SCHEMES and bool(parts.hostname) and (parts.port or PORT) > 0
    except ValueError:
        sound = False
    if not sound or parts.username is not None:
        raise BadRequest("ipp.no-address", uri=uri)
    return parts


def _with_document(request: bytes, document: Path) -> Iterator[bytes]:
    yield request
    with document.open("rb") as file:
        while chunk := file.read(CHUNK):
            yield chunk
