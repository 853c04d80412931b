"""TOML files into records. Whatever the file holds, there comes a record, or one line with the mend."""

from __future__ import annotations

import os
import re
import tomllib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from tackside.errors import BadRecord
from tackside.files.record_faults import fault_of, loosened

AnyRecord = TypeVar("AnyRecord", bound=BaseModel)

# Far more than any record by hand; a larger file is something else, taken for a record.
LARGEST_BYTES = 1_000_000


def load_record(path: str | os.PathLike[str], kind: type[AnyRecord]) -> AnyRecord:
    """Any kind of record from a TOML file.

    Raises BadRecord that names the file, the field and the mend; other faults are counted in it.
    """
    file = Path(path)
    given = _parse(_read(file), file)
    try:
        record = kind.model_validate(given)
    except ValidationError as error:
        what, mend = fault_of(error, kind)
        raise BadRecord(f"{file}: {what}", mend) from error
    wrong = loosened(given, record.model_dump())
    if wrong is not None:
        raise BadRecord(f"{file}: {wrong[0]}", wrong[1])
    return record


def _read(file: Path) -> str:
    """The text of a file that may be anything at all."""
    try:
        if file.is_dir():
            raise BadRecord(f"{file} is a folder, not a TOML file", "name the file in it")
        with file.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError as error:
        raise BadRecord(f"there is no file {file}", "check the name and the folder") from error
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = getattr(error, "strerror", None) or str(error)
        raise BadRecord(f"cannot read {file}: {reason.lower()}", "check its name and permissions") from error
    if len(data) > LARGEST_BYTES:
        raise BadRecord(
            f"{file} is larger than a record can be (1 MB)", "name a TOML file, not a picture or scan"
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadRecord(
            f"{file}, line {line}: not UTF-8 text", "save it as UTF-8, or name the right file"
        ) from error


def _parse(text: str, file: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise BadRecord(f"{file} is nested too deeply", "write it as the examples show") from error
    except tomllib.TOMLDecodeError as error:
        place, fault = _place_and_fault(str(error))
        raise BadRecord(
            f"{file}{place}: not valid TOML ({fault})", _syntax_mend(text, place, fault)
        ) from error
    except ValueError as error:  # Python reads no number of thousands of digits
        raise BadRecord(f"{file} holds a number of thousands of digits", "check its numbers") from error


def _place_and_fault(message: str) -> tuple[str, str]:
    """The parser's "Fault (at line 3, column 5)", taken apart."""
    found = re.fullmatch(r"(?s)(.*) \(at line (\d+), column (\d+)\)", message)
    if found:
        return f", line {found[2]}", found[1][0].lower() + found[1][1:]
    end = message.removesuffix(" (at end of document)")
    return (", last line" if end != message else ""), end[:1].lower() + end[1:120]


def _syntax_mend(text: str, place: str, fault: str) -> str:
    """The usual slips, seen on the line itself; else the form of a line."""
    if "overwrite" in fault or "twice" in fault or "already" in fault:
        return "give each field and table once"
    number = re.search(r"\d+", place)
    lines = text.splitlines()
    line = lines[int(number[0]) - 1] if number and 0 < int(number[0]) <= len(lines) else ""
    if re.search(r"=\s*-?\d+,\d", line):
        return "write decimals with a point, as 0.32"
    if re.search(r"[“”„«»‘’]", line):
        return 'use straight quotes, as "photo"'
    if re.search(r'=\s*[^\W\d"\'\[{][^"\'\[{]*$', line):
        return 'put words in quotes, as base = "photo"'
    return 'write each field as name = value, words in quotes, as base = "photo"'
