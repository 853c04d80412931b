"""The bench: a folder with ``bench.sqlite`` and ``files/``, opened once, asked by its shelves."""

from __future__ import annotations

import os
from pathlib import Path

from tackside.bench.files import explain
from tackside.bench.findings import Findings
from tackside.bench.kept_files import KeptFiles
from tackside.bench.migrations import bring_up_to_date
from tackside.bench.records import Printer, Reading, Stock, Verdict
from tackside.bench.revisions import Revisions
from tackside.bench.storage import connect, sqlite_url, translated
from tackside.bench.trials import Trials
from tackside.bench.vault import Vault
from tackside.errors import NotFound, StorageTrouble

DATABASE = "bench.sqlite"
FILES = "files"


class Bench:
    """All records and files of one user or studio.

    Several processes may use one bench at once. Nothing is held open between calls.
    """

    def __init__(self, folder: Path, vault: Vault) -> None:
        self.folder = folder
        self._files = KeptFiles(vault, folder / FILES)
        self.stocks = Revisions(vault, self._files, Stock)
        self.printers = Revisions(vault, self._files, Printer)
        self.trials = Trials(vault)
        self.readings = Findings(vault, Reading)
        self.verdicts = Findings(vault, Verdict)

    @classmethod
    def open(cls, folder: str | os.PathLike[str], create: bool = True) -> Bench:
        """Open the bench in a folder, making it where ``create``, and bring it to this version's form.

        Raises NotFound where there is none and ``create`` is False, StorageTrouble where disk, folder or
        database refuse or the bench was made by a newer version.
        """
        place = Path(folder)
        database = place / DATABASE
        try:
            place = place.expanduser()
            database = place / DATABASE
            exists = database.is_file()
            if place.exists() and not place.is_dir():
                raise StorageTrouble(f"{place} is a file, not a folder", "name a folder with --bench")
            if not exists and create:
                place.mkdir(parents=True, exist_ok=True)
        except (OSError, RuntimeError) as error:  # RuntimeError: ~ of a user that is not there
            fault = error if isinstance(error, OSError) else OSError(2, str(error))
            raise explain(fault, place, "write") from error
        if not exists and not create:
            raise NotFound(
                f"there is no bench in {place}",
                "name the right folder with --bench, or begin one: tackside stock add FILE.toml",
            )
        engine = connect(sqlite_url(database))
        with translated(database):
            bring_up_to_date(engine, database)
        return cls(place, Vault(engine, database))

    def keep_file(self, path: str | os.PathLike[str]) -> str:
        """Copy a file into the bench; its SHA-256. Raises StorageTrouble."""
        return self._files.keep(path)

    def file(self, sha256: str) -> Path:
        """Where a kept file lies. Raises NotFound."""
        return self._files.path(sha256)
