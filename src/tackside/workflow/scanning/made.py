"""A scan that was made from here, on its way to be read."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.errors import BadScan, TacksideError
from tackside.messages.message import Message
from tackside.records import Reading
from tackside.records.reading import Scanned
from tackside.workflow.sent_files import SentFile


@dataclass(frozen=True)
class MadeScan:
    """The file, how it was made, and where it is not what was asked for."""

    file: SentFile
    scanned: Scanned
    remarks: tuple[Message, ...]

    def noted_in(self, reading: Reading) -> Reading:
        """The reading with how its scan was made."""
        known = set(reading.notices)
        more = tuple(each for each in self.remarks if each not in known)
        return reading.model_copy(update={"scanned": self.scanned, "notices": (*reading.notices, *more)})


def of_the_glass(fault: TacksideError) -> TacksideError:
    """A fault of a scan that was just made, with what to do about it at the scanner: there is no file to name."""
    return BadScan("scanning.no-tag") if fault.message.code == "arrived.no-tag" else fault
