"""A card file (TOML) as a Card, with every fault told by file, field and mend."""

from __future__ import annotations

import os
from pathlib import Path

from tackside.bench.toml_files import load_record
from tackside.card.design import Card
from tackside.errors import BadRecord


def load_card(path: Path | str) -> Card:
    """Read a card file; its pictures must lie in its folder or below. Raises BadRecord, naming the field."""
    path = Path(path)
    card = load_record(path, Card)
    if "folder" in card.model_fields_set:
        raise BadRecord(f"{path}: folder: unknown field", "remove it; pictures lie beside the card file")
    for number, picture in enumerate(card.pictures, start=1):
        _refuse_outside(picture.file, f"{path}: pictures[{number}].file")
    return card.model_copy(update={"folder": path.parent})


def _refuse_outside(file: str, field: str) -> None:
    """A card file may come from anybody; it must not reach for files elsewhere on the disk."""
    plain = os.path.normpath(file.replace("\\", "/"))
    if "\0" in file or Path(plain).is_absolute() or plain.split("/")[0] == ".." or ":" in plain[:2]:
        raise BadRecord(
            f'{field}: "{file}" leaves the folder of the card file', "copy the picture beside the card file"
        )
