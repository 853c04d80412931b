"""Scanners of a bench: one JSON file each in ``scanners/``, named after the scanner."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from pydantic import ValidationError

from tackside.bench.location import SCANNERS
from tackside.errors import StorageTrouble
from tackside.files.atomic import explain, write_atomically
from tackside.files.suggest import not_found
from tackside.messages.message import Message
from tackside.records.scanner import Scanner

FOLDER = SCANNERS


class Scanners:
    """The shelf of scanners. The newest state of each is kept; what it was learnt from lies among the bench's files."""

    def __init__(self, bench_folder: Path) -> None:
        self._folder = bench_folder / FOLDER

    def list(self) -> tuple[Scanner, ...]:
        """All scanners, by name. Raises StorageTrouble where a file no longer holds one."""
        try:
            files = sorted(self._folder.glob("*.json"))
        except OSError as error:
            raise explain(error, self._folder, "read") from error
        return tuple(sorted((_revived(file) for file in files), key=lambda one: one.name))

    def get(self, name: str) -> Scanner:
        """One scanner. Raises NotFound with the nearest name."""
        known = {one.name: one for one in self.list()}
        if name.strip() in known:
            return known[name.strip()]
        raise not_found("bench.no-scanner", name, list(known), Message("bench.learn-scanner"))

    def find(self, name: str) -> Scanner:
        """One scanner, or a new one that knows nothing yet."""
        return next((one for one in self.list() if one.name == name.strip()), Scanner(name=name.strip()))

    def keep(self, scanner: Scanner) -> None:
        """Write a scanner in place of what was known of it. Raises StorageTrouble."""
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise explain(error, self._folder, "write") from error
        write_atomically(self._folder / file_name(scanner.name), scanner.model_dump_json(indent=1).encode())


def file_name(name: str) -> str:
    """A file name for any scanner's name, no two alike."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40]
    return f"{plain}-{hashlib.sha256(name.encode()).hexdigest()[:8]}.json"


def _revived(file: Path) -> Scanner:
    try:
        return Scanner.model_validate_json(file.read_bytes())
    except OSError as error:
        raise explain(error, file, "read") from error
    except ValidationError as error:
        raise StorageTrouble("bench.scanner-damaged", file=str(file), count=error.error_count()) from error
