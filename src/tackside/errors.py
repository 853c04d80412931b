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
    └── StorageTrouble            a disk, a folder or the bench's database that refuses

Every message says what is wrong (and where), then the mend. Errors of other libraries are
translated once, in the module that calls the library; none may reach a person raw.
"""

from __future__ import annotations


class TacksideError(Exception):
    """What is wrong, and how to mend it, both in plain words.

    ``what`` names the file, field or thing and the fault; ``mend`` is an instruction. Neither ends
    in a full stop; ``str(error)`` joins them with a semicolon.
    """

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(what, mend)
        self.what = what
        self.mend = mend

    def __str__(self) -> str:
        return f"{self.what}; {self.mend}"


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


class StorageTrouble(TacksideError):
    """A disk, a folder or the bench's database that refuses."""
