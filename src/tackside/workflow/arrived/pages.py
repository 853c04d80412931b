"""Documents among the files that came back: each page becomes a picture of its own."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.tasks.cache import FOLDER
from tackside.tasks.work_folder import work_folder
from tackside.workflow.sent_files import SentFile

Fault = tuple[SentFile, TacksideError]


@contextlib.contextmanager
def taken_apart(bench: Bench, files: Sequence[SentFile]) -> Iterator[Sequence[SentFile]]:
    """The files, each PDF among them replaced by the pictures of its pages, which lie there for the block alone.

    Raises BadImage, BadScan where a page is no scan.
    """
    with work_folder(bench.folder / FOLDER) as folder:
        found, faults = pages_of(files, folder)
        if faults:
            raise faults[0][1]
        yield found


def pages_of(files: Sequence[SentFile], folder: Path) -> tuple[list[SentFile], list[Fault]]:
    """The files, each PDF replaced by its pages' pictures in ``folder``; and the pages that are none, with the reason.

    A page is called as its document is, with its number where there are several.
    """
    from tackside.reading.document.pages import scanned_pages  # only where a document came

    found: list[SentFile] = []
    faults: list[Fault] = []
    for place, file in enumerate(files):
        if not file.is_document:
            found.append(file)
            continue
        pages: list[SentFile] = []
        try:
            for page in scanned_pages(file.path, file.name):
                if page.fault is not None:
                    faults.append((file, page.fault))
                    continue
                picture = folder / f"{place}-{page.number}{page.suffix}"
                picture.write_bytes(page.data)
                pages.append(SentFile(picture, f"{file.name} ({page.number})"))
        except TacksideError as error:
            faults.append((file, error))
        alone = len(pages) == 1 and not any(of is file for of, _ in faults)
        found += [SentFile(pages[0].path, file.name)] if alone else pages
    return found, faults
