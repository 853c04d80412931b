"""The bench: a folder with ``files/`` and ``bench.sqlite``, or a database beside it; asked by its shelves."""

from __future__ import annotations

import os
from contextlib import AbstractContextManager
from pathlib import Path

from tackside.bench.database.migrations import bring_up_to_date
from tackside.bench.database.server import require_unicode
from tackside.bench.database.session import Vault
from tackside.bench.database.storage import connect, sqlite_url, translated
from tackside.bench.location import DATABASE, POINTER, Place, place_of, point_to
from tackside.bench.repositories.assets import Artwork
from tackside.bench.repositories.catalogue import Catalogue
from tackside.bench.repositories.findings import Findings
from tackside.bench.repositories.jobs import Jobs
from tackside.bench.repositories.kept_files import KeptFiles
from tackside.bench.repositories.measured import Measured
from tackside.bench.repositories.revisions import Revisions
from tackside.bench.repositories.runs import Runs
from tackside.bench.repositories.trials import Trials
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import explain
from tackside.records import Printer, Reading, Stock, Verdict
from tackside.records.assets import PictureFile, ProfileFile
from tackside.records.card import KeptCard

FILES = "files"


class Bench:
    """All records and files of one user or studio.

    Several processes may use one bench at once. Nothing is held open between calls.
    """

    def __init__(self, folder: Path, vault: Vault) -> None:
        self.folder = folder
        self._vault = vault
        self._files = KeptFiles(vault, folder / FILES)
        self.stocks = Revisions(vault, self._files, Stock)
        self.printers = Revisions(vault, self._files, Printer)
        self.cards = Revisions(vault, self._files, KeptCard)
        self.trials = Trials(vault)
        self.readings = Findings(vault, Reading)
        self.verdicts = Findings(vault, Verdict)
        self.measured = Measured(vault)
        self.catalogue = Catalogue(vault)
        self.jobs = Jobs(vault)
        self.runs = Runs(vault)
        self.profiles = Artwork(vault, "profile", ProfileFile)
        self.pictures = Artwork(vault, "picture", PictureFile)

    @classmethod
    def open(cls, folder: str | os.PathLike[str], create: bool = True) -> Bench:
        """Open the bench in a folder or at a URL, making it where ``create``, and bring it to this version's form.

        ``folder`` may be the URL of a PostgreSQL database, ``postgresql://user@host/name?files=FOLDER``.

        Raises NotFound where there is none and ``create`` is False, StorageTrouble where disk, folder or
        database refuse or the bench was made by a newer version.
        """
        place = place_of(folder)
        _prepare_folder(place, create)
        engine = connect(sqlite_url(place.folder / DATABASE) if place.url is None else place.url)
        with translated(place.database):
            if place.url is not None:
                with engine.connect() as connection:
                    require_unicode(connection, place.database)
            bring_up_to_date(engine, place.database, create=place.url is None or create)
        if place.url is not None and not (place.folder / POINTER).exists():
            point_to(place)
        return cls(place.folder, Vault(engine, place.database))

    def keep_file(self, path: str | os.PathLike[str], name: str | None = None) -> str:
        """Copy a file into the bench, under a name of its own if given; its SHA-256. Raises StorageTrouble."""
        return self._files.keep(path, name)

    def at_once(self) -> AbstractContextManager[Vault]:
        """A vault whose writing, in the block, is one transaction: kept whole, or not at all."""
        return self._vault.at_once()

    def counts(self) -> dict[str, int]:
        """How many rows each table holds."""
        return self._vault.counts()

    def file_name(self, sha256: str) -> str:
        """What a kept file was called when it came. Raises NotFound."""
        return self._files.name(sha256)

    def file(self, sha256: str) -> Path:
        """Where a kept file lies. Raises NotFound."""
        return self._files.path(sha256)


def _prepare_folder(place: Place, create: bool) -> None:
    """Make the folder where it may be made; refuse what cannot be a bench."""
    folder, database = place.folder, place.folder / DATABASE
    try:
        exists = database.is_file()
        if folder.exists() and not folder.is_dir():
            raise StorageTrouble(f"{folder} is a file, not a folder", "name a folder with --bench")
        if create and not (exists and place.url is None):
            folder.mkdir(parents=True, exist_ok=True)
        if place.url is not None and not folder.is_dir():
            raise NotFound(
                f"there is no folder {folder} for the files of {place.database}", "make it, or correct files="
            )
        if place.url is not None and exists and not (folder / POINTER).exists():
            raise StorageTrouble(
                f"{folder} holds a bench of its own",
                "name another folder for files, or use: tackside bench move",
            )
    except OSError as error:
        raise explain(error, folder, "write") from error
    if place.url is None and not exists and not create:
        raise NotFound(
            f"there is no bench in {folder}",
            "name the right folder with --bench, or begin one: tackside stock add FILE.toml",
        )
