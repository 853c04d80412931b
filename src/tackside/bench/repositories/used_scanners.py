"""Scanners that were scanned from, so that the last is offered: a JSON file each in ``scanners/used/``."""

from __future__ import annotations

import hashlib
from pathlib import Path

from pydantic import ValidationError

from tackside.bench.location import SCANNERS
from tackside.files.atomic import explain, write_atomically
from tackside.records.scanner import UsedScanner

FOLDER = Path(SCANNERS) / "used"


class UsedScanners:
    """A file that no longer holds one is passed over: it is a convenience, and is written again by the next scan."""

    def __init__(self, bench_folder: Path) -> None:
        self._folder = bench_folder / FOLDER

    def list(self) -> tuple[UsedScanner, ...]:
        """All of them, the last used first."""
        found = []
        for file in self._folder.glob("*.json"):
            try:
                found.append(UsedScanner.model_validate_json(file.read_bytes()))
            except (OSError, ValidationError):
                continue
        return tuple(sorted(found, key=lambda one: one.used_at, reverse=True))

    def keep(self, scanner: UsedScanner) -> None:
        """Write it in place of what was known of that address. Raises StorageTrouble."""
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise explain(error, self._folder, "write") from error
        name = hashlib.sha256(scanner.address.encode()).hexdigest()[:16]
        write_atomically(self._folder / f"{name}.json", scanner.model_dump_json(indent=1).encode())
