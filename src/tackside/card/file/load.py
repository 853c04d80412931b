"""A card file (TOML) as a Card, with every fault by file, field and fix."""

from __future__ import annotations

import os
from pathlib import Path

from tackside.card.file.design import Card, CardFile, own_field
from tackside.errors import BadRecord
from tackside.files.toml_records import load_record
from tackside.messages.message import Message
from tackside.messages.place import Place


def load_card(path: Path | str) -> Card:
    """Read a card file; its pictures and fonts must lie in its folder or below.

    Raises BadRecord, naming the file and the field.
    """
    path = Path(path)
    card = load_record(path, CardFile)
    files = {"pictures": [part.file for part in card.pictures], "fonts": [part.file for part in card.fonts]}
    for kind, named in files.items():
        for number, file in enumerate(named):
            place = Place("card", (kind, number, "file"))
            try:
                refuse_outside(file, path.parent)
            except BadRecord as error:
                inner = Message("card.in-field", field=place, fault=error.message)
                raise BadRecord("record.in-file", place=place, file=str(path), fault=inner) from error
    return Card.model_validate({**dict(card), "folder": path.parent})


def refuse_outside(file: str, folder: Path) -> None:
    """A card file may come from anybody; it must not reach for files elsewhere on the disk, by a link neither.

    Raises BadRecord.
    """
    plain = os.path.normpath(file.replace("\\", "/"))
    outside = "\0" in file or Path(plain).is_absolute() or plain.split("/")[0] == ".." or ":" in plain[:2]
    if not outside:
        try:
            outside = not (folder / file).resolve().is_relative_to(folder.resolve())
        except (OSError, RuntimeError) as error:  # a link that leads to itself
            raise BadRecord("card.file-not-followed", place=own_field("file"), file=file) from error
    if outside:
        raise BadRecord("card.file-outside", place=own_field("file"), file=file)
