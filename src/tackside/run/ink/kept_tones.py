"""What was counted of a card once, kept by content: the same card on the same stock and printer takes the same ink."""

from __future__ import annotations

import hashlib
import json
from contextlib import suppress
from pathlib import Path

from tackside import __version__
from tackside.card.file.design import Card
from tackside.errors import StorageTrouble, TacksideError
from tackside.files.atomic import sha256_of, write_atomically
from tackside.records import Printer, Stock
from tackside.tasks.cache import note_use

FORM = 1  # of what is kept


class KeptTones:
    """A folder with a small file for each count; one that cannot be read or written is as if it were not there."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._hashes: dict[tuple[Path, int, int], str] = {}

    def find(self, card: Card, stock: Stock, printer: Printer) -> float | None:
        """The full tone of one sheet, m², where it was counted before."""
        file = self._file(card, stock, printer)
        if file is None:
            return None
        try:
            found = float(json.loads(file.read_bytes())["tones_m2"])
        except (OSError, ValueError, KeyError, TypeError):
            return None
        note_use(file)
        return found

    def keep(self, card: Card, stock: Stock, printer: Printer, tones_m2: float) -> None:
        file = self._file(card, stock, printer)
        if file is None:
            return
        with suppress(OSError, StorageTrouble):
            file.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(file, json.dumps({"tones_m2": tones_m2}).encode())

    def _file(self, card: Card, stock: Stock, printer: Printer) -> Path | None:
        """Where it is kept: by the design, the content of its pictures and fonts, and both records."""
        named = [*(each.file for each in card.pictures), *(each.file for each in card.fonts)]
        files = [card.folder / each for each in named]
        try:
            contents = [self._hash(each) for each in files]
        except (OSError, TacksideError):  # whoever counts says what is wrong with it
            return None
        said = [
            FORM, __version__, card.model_dump(mode="json", exclude={"folder"}), contents,
            stock.model_dump(mode="json"), printer.model_dump(mode="json"),
        ]  # fmt: skip
        digest = hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()
        return self._folder / f"{digest}.json"

    def _hash(self, path: Path) -> str:
        """A picture that all rows of a list show is read once."""
        state = path.stat()
        key = (path, state.st_mtime_ns, state.st_size)
        if key not in self._hashes:
            self._hashes[key] = sha256_of(path)
        return self._hashes[key]
