"""The one family of errors that Tackside raises on purpose.

    TacksideError                 anything we can explain to the person; exit code 2
    ├── BadRecord                 a stock, printer, card or settings file that does not hold together
    ├── BadImage                  a picture or scan that cannot be opened, or is too large
    ├── BadScan                   an image that opens but cannot be read as a test sheet
    ├── BadInstrumentFile         a CGATS or CxF file that cannot be trusted
    ├── BadProfile                an ICC profile that cannot be used
    ├── DoesNotFit                something asked for has no room, or cannot be fed
    ├── NotFound                  a name or id that the bench does not hold
    ├── BadRequest                an option or a combination of options that makes no sense
    ├── Overtaken                 an edit of something that was changed elsewhere meanwhile
    ├── PrinterTrouble            a printer that cannot be reached, refuses, or answers nonsense
    ├── ScannerTrouble            a scanner that cannot be reached, refuses, or answers nonsense
    │   └── ScanStopped           a person stopped the scan
    └── StorageTrouble            a disk, a folder or the bench's database that refuses

Every message says what is wrong (and where), then the fix. Errors of other libraries are
translated once, in the module that calls the library; none may reach a person raw.
"""

from __future__ import annotations

from typing import Any, Self

from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.messages.wording import TERMINAL


class TacksideError(Exception):
    """What is wrong, and how to fix it, as a message of the catalogue whose text is a ``Fault``.

    ``BadScan("scan.no-marks", file="a.tif")``: the code, then its values. ``place`` says which field or row of the
    input is at fault, for whoever shows it there. ``what`` and ``fix`` are its English words as a terminal reads them,
    neither of which ends in a full stop; ``str(error)`` joins them with a semicolon. Pages word ``message`` themselves.
    """

    def __init__(
        self, code: str, fix: str | None = None, /, *, place: Place | None = None, **values: Any
    ) -> None:
        super().__init__(code, fix)
        self.message = Message(code, **values) if fix is None else Message("said.fault", what=code, fix=fix)
        self.place = place

    @classmethod
    def saying(cls, message: Message, place: Place | None = None) -> Self:
        """An error that says a message at hand."""
        return cls(message.code, place=place, **message.values)

    @property
    def what(self) -> str:
        return TERMINAL.what(self.message)

    @property
    def fix(self) -> str:
        return TERMINAL.fix(self.message)

    def __str__(self) -> str:
        return TERMINAL.text(self.message)


class BadRecord(TacksideError):
    """A stock, printer, card or settings file that does not hold together."""


class BadImage(TacksideError):
    """A picture or scan that cannot be opened, or is too large."""


class BadScan(TacksideError):
    """An image that opens but cannot be read as a test sheet."""


class BadInstrumentFile(TacksideError):
    """A CGATS or CxF file that cannot be trusted."""


class BadProfile(TacksideError):
    """An ICC profile that cannot be used."""


class DoesNotFit(TacksideError):
    """Something asked for has no room, or cannot be fed."""


class NotFound(TacksideError):
    """A name or id that the bench does not hold."""


class BadRequest(TacksideError):
    """An option or a combination of options that makes no sense."""


class Overtaken(TacksideError):
    """An edit of something that was changed elsewhere meanwhile; nothing was overwritten."""


class PrinterTrouble(TacksideError):
    """A printer that cannot be reached, refuses a job, or answers nonsense."""


class ScannerTrouble(TacksideError):
    """A scanner that cannot be reached, refuses to scan, or answers nonsense."""


class ScanStopped(ScannerTrouble):
    """A person stopped the scan."""


class StorageTrouble(TacksideError):
    """A disk, a folder or the bench's database that refuses."""
