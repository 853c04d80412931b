"""A card file (TOML) as a Card, with every fault told by file, field and mend."""

from __future__ import annotations

import os
from pathlib import Path

from tackside.card.file.design import Card, CardFile
from tackside.errors import BadRecord
from tackside.files.toml_records import load_record


def load_card(path: Path | str) -> Card:
    """Read a card file; its pictures and fonts must lie in its folder or below.

    Raises BadRecord, naming the field.
    """
    path = Path(path)
    card = load_record(path, CardFile)
    files = {"pictures": [part.file for part in card.pictures], "fonts": [part.file for part in card.fonts]}
    for kind, named in files.items():
        for number, file in enumerate(named, start=1):
            refuse_outside(file, path.parent, f"{path}: {kind}[{number}].file")
    return Card.model_validate({**dict(card), "folder": path.parent})


def refuse_outside(file: str, folder: Path, field: str) -> None:
    """A card file may come from anybody; it must not reach for files elsewhere on the disk, by a link neither.

    Raises BadRecord; ``field`` is how it calls the place where the file is named.
    """
    plain = os.path.normpath(file.replace("\\", "/"))
    outside = "\0" in file or Path(plain).is_absolute() or plain.split("/")[0] == ".." or ":" in plain[:2]
    if not outside:
        try:
            outside = not (folder / file).resolve().is_relative_to(folder.resolve())
        except (OSError, RuntimeError) as error:  # a link that leads to itself
            raise BadRecord(
                f'{field}: "{file}" cannot be followed', "copy the file beside the card file"
            ) from error
    if outside:
        raise BadRecord(
            f'{field}: "{file}" leaves the folder of the card file', "copy the file beside the card file"
        )
