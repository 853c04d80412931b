"""Keep the card of a card file in the bench, with its pictures and fonts, so that it can be worked on there."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tackside.bench.store import Bench
from tackside.card.file.design import CardFile, CardParts, load_card
from tackside.files.toml_records import load_record
from tackside.records.card import CardTypeface
from tackside.workflow.cards.kept import kept_card
from tackside.workflow.cards.picture import look_at


def keep_card_file(bench: Bench, file: Path, name: str) -> int:
    """Keep the design of a card file under a name of its own; the revision that it got.

    Raises BadRecord, NotFound, BadImage, Overtaken where there is a card of that name, StorageTrouble.
    """
    card = load_card(file)
    images = []
    with tempfile.TemporaryDirectory() as place:
        for number, named in enumerate(dict.fromkeys(each.file for each in card.pictures)):
            folder = Path(place) / str(number)
            folder.mkdir()
            sha256 = bench.keep_file(card.folder / named, named)
            images.append(look_at(bench, sha256, named, folder))
    fonts = [
        CardTypeface(
            name=each.name,
            file=each.file,
            number=each.number,
            sha256=bench.keep_file(card.folder / each.file),
        )
        for each in card.fonts
    ]
    parts = CardParts.model_validate(load_record(file, CardFile).model_dump(exclude_defaults=True))
    return bench.cards.add(kept_card(name, parts, images, fonts), after=0).revision
