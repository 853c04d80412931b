"""TOML files into records. Whatever the file holds, there comes a record, or one line with the fix."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from tackside.errors import BadRecord
from tackside.files.outside import Intake
from tackside.files.record_faults import FieldFault, fault_of, fault_of_kind
from tackside.files.record_faults import Path as FieldPath
from tackside.messages.message import Message

AnyRecord = TypeVar("AnyRecord", bound=BaseModel)

# Far more than any record by hand; a larger file is something else, taken for a record.
LARGEST_BYTES = 1_000_000
_TOML = Intake(
    BadRecord,
    missing="file.not-there",
    folder="file.folder-for-toml",
    too_large="file.too-large-for-toml",
    most_bytes=LARGEST_BYTES,
)
# The parser takes time and memory by the square of how deep a key goes, and recurses into brackets; no record goes
# deeper than a handful.
MOST_DEEP = 60
_PART = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_DEEP_KEY = re.compile(rf"(?<![A-Za-z0-9_-]){_PART}(?:[ \t]*\.[ \t]*{_PART}){{{MOST_DEEP}}}")


def load_record(path: str | os.PathLike[str], kind: type[AnyRecord]) -> AnyRecord:
    """Any kind of record from a TOML file.

    Raises BadRecord that names the file, the field and the fix; other faults are counted in it.
    """
    file = Path(path)
    given = _parse(_read(file), file)
    try:
        record = kind.model_validate(given)
    except ValidationError as error:
        raise in_file(fault_of(error, kind), file) from error
    slip = next(_loosened(given, record.model_dump()), None)
    if slip is not None:
        raise in_file(fault_of_kind(*slip, kind), file)
    return record


def in_file(fault: FieldFault, file: Path) -> BadRecord:
    """The error for a fault of a file's data: it names the file, and has the fault's place."""
    return BadRecord("record.in-file", place=fault.place, file=str(file), fault=fault.message)


def _loosened(given: Any, valid: Any, path: FieldPath = ()) -> Iterator[tuple[FieldPath, Any, Any]]:
    """Values that were read as another kind, with their place: text or true/false where a number belongs, and the like.

    ``given`` is the TOML data, ``valid`` the record made of it, as plain data.
    """
    if isinstance(given, Mapping) and isinstance(valid, Mapping):
        for key in given:
            if key in valid:
                yield from _loosened(given[key], valid[key], (*path, key))
    elif isinstance(given, list) and isinstance(valid, (list, tuple)):
        for number, (here, there) in enumerate(zip(given, valid, strict=False)):
            yield from _loosened(here, there, (*path, number))
    elif _is_of_other_kind(given, valid):
        yield path, given, valid


def _is_of_other_kind(given: Any, valid: Any) -> bool:
    """Text for a number, true for a number, a number for true: allowed by the validator, but a slip."""
    if isinstance(valid, bool):
        return not isinstance(given, bool)
    return isinstance(valid, (int, float)) and isinstance(given, (str, bool))


def _read(file: Path) -> str:
    """The text of a file that may be anything at all."""
    data = _TOML.read(file)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadRecord("file.no-utf-8", file=str(file), line=line) from error


def _parse(text: str, file: Path) -> dict[str, Any]:
    if _DEEP_KEY.search(text):
        raise BadRecord("file.nested-too-deeply", file=str(file))
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise BadRecord("file.nested-too-deeply", file=str(file)) from error
    except tomllib.TOMLDecodeError as error:
        said, line = _fault_and_line(str(error), text)
        raise BadRecord(
            "file.no-toml", file=str(file), line=line, said=said, slip=_slip(text, line, said)
        ) from error
    except ValueError as error:  # Python reads no number of thousands of digits
        raise BadRecord("file.huge-number", file=str(file)) from error


def _fault_and_line(said: str, text: str) -> tuple[str, int]:
    """The parser's "Fault (at line 3, column 5)", taken apart; the last line where it found the end of the file."""
    found = re.fullmatch(r"(?s)(.*) \(at line (\d+), column \d+\)", said)
    if found:
        return found[1][0].lower() + found[1][1:], int(found[2])
    end = said.removesuffix(" (at end of document)")
    return end[:1].lower() + end[1:120], max(1, len(text.splitlines()))


def _slip(text: str, number: int, said: str) -> Message:
    """The usual slips, seen on the line itself; else the form of a line."""
    if "overwrite" in said or "twice" in said or "already" in said:  # the parser's own words
        return Message("file.toml-twice")
    lines = text.splitlines()
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    if re.search(r"=\s*-?\d+,\d", line):
        return Message("file.toml-comma")
    if re.search(r"[“”„«»‘’]", line):
        return Message("file.toml-curly-quotes")
    if re.search(r'=\s*[^\W\d"\'\[{][^"\'\[{]*$', line):
        return Message("file.toml-no-quotes")
    return Message("file.toml-line")
