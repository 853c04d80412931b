"""The bench: a folder with ``files/`` and ``bench.sqlite``, or a database beside it; asked by its shelves."""

from __future__ import annotations

import os
from contextlib import AbstractContextManager
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.bench.database.server import require_unicode
from tackside.bench.database.storage import HEAD, Vault, connect, form_of, sqlite_url, translated
from tackside.bench.location import DATABASE, FILES, POINTER, BenchLocation, keep_private, place_of, point_to
from tackside.bench.repositories.findings import Findings
from tackside.bench.repositories.kept_files import ArrivingFiles, KeptFiles
from tackside.bench.repositories.revisions import Revisions
from tackside.bench.repositories.trials import Trials
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import explain
from tackside.records import Printer, Reading, Stock, Verdict

if TYPE_CHECKING:
    from tackside.bench.repositories.assets import Artwork
    from tackside.bench.repositories.catalogue import Catalogue
    from tackside.bench.repositories.jobs import Jobs
    from tackside.bench.repositories.measured import Measured
    from tackside.bench.repositories.practice import PracticePrints
    from tackside.bench.repositories.runs import Runs
    from tackside.bench.repositories.withdrawals import Withdrawals
    from tackside.records.assets import PictureFile, ProfileFile
    from tackside.records.card import KeptCard


class Bench:
    """All records and files of one user or studio.

    Several processes may use one bench at once. Nothing is held open between calls. Each shelf is made, and what it
    needs loaded, when it is first asked for: most commands ask for few.
    """

    def __init__(self, folder: Path, vault: Vault) -> None:
        self.folder = folder
        self._vault = vault

    @cached_property
    def stocks(self) -> Revisions[Stock]:
        return Revisions(self._vault, lambda: self._files, Stock)

    @cached_property
    def printers(self) -> Revisions[Printer]:
        return Revisions(self._vault, lambda: self._files, Printer)

    @cached_property
    def cards(self) -> Revisions[KeptCard]:
        from tackside.records.card import KeptCard

        return Revisions(self._vault, lambda: self._files, KeptCard)

    @cached_property
    def trials(self) -> Trials:
        return Trials(self._vault)

    @cached_property
    def readings(self) -> Findings[Reading]:
        return Findings(self._vault, Reading)

    @cached_property
    def verdicts(self) -> Findings[Verdict]:
        return Findings(self._vault, Verdict)

    @cached_property
    def measured(self) -> Measured:
        from tackside.bench.repositories.measured import Measured

        return Measured(self._vault)

    @cached_property
    def catalogue(self) -> Catalogue:
        from tackside.bench.repositories.catalogue import Catalogue

        return Catalogue(self._vault)

    @cached_property
    def jobs(self) -> Jobs:
        from tackside.bench.repositories.jobs import Jobs

        return Jobs(self._vault)

    @cached_property
    def runs(self) -> Runs:
        from tackside.bench.repositories.runs import Runs

        return Runs(self._vault)

    @cached_property
    def withdrawals(self) -> Withdrawals:
        from tackside.bench.repositories.withdrawals import Withdrawals

        return Withdrawals(self._vault)

    @cached_property
    def practice(self) -> PracticePrints:
        from tackside.bench.repositories.practice import PracticePrints

        return PracticePrints(self._vault)

    @cached_property
    def profiles(self) -> Artwork[ProfileFile]:
        from tackside.bench.repositories.assets import Artwork
        from tackside.records.assets import ProfileFile

        return Artwork(self._vault, "profile", ProfileFile)

    @cached_property
    def pictures(self) -> Artwork[PictureFile]:
        from tackside.bench.repositories.assets import Artwork
        from tackside.records.assets import PictureFile

        return Artwork(self._vault, "picture", PictureFile)

    @cached_property
    def _files(self) -> KeptFiles:
        return KeptFiles(self._vault, self.folder / FILES)

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
            with engine.connect() as connection:
                if place.url is not None:
                    require_unicode(connection, place.database)
                form = form_of(connection)
            if form is None and place.url is None:
                _refuse_files_alone(place)
            if form != HEAD:
                from tackside.bench.database.migrations import bring_up_to_date  # seldom needed

                bring_up_to_date(engine, place.database, create=place.url is None or create)
        if place.url is not None and not (place.folder / POINTER).exists():
            point_to(place)
        keep_private(place.folder)
        return cls(place.folder, Vault(engine, place.database))

    def keep_file(self, path: str | os.PathLike[str], name: str | None = None) -> str:
        """Copy a file into the bench, under a name of its own if given; its SHA-256. Raises StorageTrouble."""
        return self._files.keep(path, name)

    def arriving_files(self) -> AbstractContextManager[ArrivingFiles]:
        """Files that are copied in while they are read, and kept once it is known what they are."""
        return self._files.arriving()

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


def _refuse_files_alone(place: BenchLocation) -> None:
    """Files without records are what a damaged disk or a stopped restore leaves: no place for a new bench."""
    if next((place.folder / FILES).glob("??/*"), None) is not None:
        raise StorageTrouble("database.emptied", bench=str(place.folder))


def _prepare_folder(place: BenchLocation, create: bool) -> None:
    """Make the folder where it may be made; refuse what cannot be a bench."""
    folder, database = place.folder, place.folder / DATABASE
    try:
        exists = database.is_file()
        if folder.exists() and not folder.is_dir():
            raise StorageTrouble("database.file-not-folder", folder=str(folder))
        if create and not (exists and place.url is None):
            folder.mkdir(parents=True, exist_ok=True)
        if place.url is not None and not folder.is_dir():
            raise NotFound("database.no-folder-for-files", folder=str(folder), bench=str(place.database))
        if place.url is not None and exists and not (folder / POINTER).exists():
            raise StorageTrouble("database.folder-of-another", folder=str(folder))
    except OSError as error:
        raise explain(error, folder, "write") from error
    if place.url is None and not exists and not create:
        raise NotFound("database.none-there", bench=str(folder))
