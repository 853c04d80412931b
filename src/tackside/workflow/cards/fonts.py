"""Fonts of a card's own: sent as a file or taken from this computer, kept in the bench, known by their own names."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from tackside.bench.store import Bench
from tackside.card.file.design import CardFont
from tackside.card.type.fonts import Fonts
from tackside.card.type.system_fonts import SystemFont, font_folders, system_fonts
from tackside.card.type.typeface import Typeface, typeface_from, typefaces_in
from tackside.errors import BadRecord
from tackside.records.card import CardTypeface, KeptCard
from tackside.sheet.page.text import FACES
from tackside.workflow.cards.picture import plain_file_name
from tackside.workflow.sent_files import SentFile, under_their_names

LONGEST_NAME = 80


def look_at_font(bench: Bench, sha256: str, name: str, number: int | None = None) -> tuple[CardTypeface, ...]:
    """The fonts in a kept file that the person calls ``name``; of a collection all, or the ``number`` alone.

    Raises NotFound, and BadRecord where it is no font, or its licence does not let it be put into other files.
    """
    path = bench.file(sha256)
    with under_their_names([SentFile(path, name, is_kept=True)]):
        found = typefaces_in(path) if number is None else (typeface_from(path, number=number),)
    return tuple(
        CardTypeface(
            name=_plain_title(each) or plain_file_name(name),
            file=plain_file_name(name),
            sha256=sha256,
            number=each.face_index + 1,
        )
        for each in found
    )


def fonts_of_this_computer(folders: tuple[Path, ...] | None = None) -> tuple[SystemFont, ...]:
    """The fonts of the computer that the workbench runs on, by name."""
    return system_fonts(font_folders() if folders is None else folders)


def keep_font_of_this_computer(
    bench: Bench, name: str, folders: tuple[Path, ...] | None = None
) -> tuple[str, str, int]:
    """Keep a font of this computer: the file's SHA-256, its name and the font's number in it. Raises BadRecord."""
    font = next((each for each in fonts_of_this_computer(folders) if each.name == name), None)
    if font is None:
        raise BadRecord("type.no-such-system-font", name=name[:LONGEST_NAME])
    return bench.keep_file(font.path, font.path.name), font.path.name, font.number


def fonts_at_hand(bench: Bench, kept: KeptCard) -> tuple[CardTypeface, ...]:
    """The fonts that a card may use beside the shipped ones: those it has, and those that were brought to it, each by
    a name of its own."""
    found = {(each.sha256, each.number): each for each in kept.fonts}
    for job in reversed(bench.jobs.list(subject=kept.name, kind="card-font", count=60)):
        if job.state == "done" and job.result is not None:
            for data in job.result["fonts"]:
                font = CardTypeface.model_validate(data)
                found.setdefault((font.sha256, font.number), font)
    names = {each.casefold() for each in FACES}
    files: dict[str, str] = {}
    told = []
    for font in found.values():
        name = _free(font.name, names)
        names.add(name.casefold())
        file = font.file
        if files.setdefault(file.casefold(), font.sha256) != font.sha256:
            file = f"{font.sha256[:6]}-{file}"
            files[file.casefold()] = font.sha256
        told.append(font.model_copy(update={"name": name, "file": file}))
    return tuple(told)


def fonts_named(faces: Sequence[str], fonts: Sequence[CardTypeface]) -> tuple[CardFont, ...]:
    """What a card file says of those of its fonts that its texts are set in."""
    return tuple(
        CardFont(name=each.name, file=each.file, number=each.number) for each in fonts if each.name in faces
    )


def fonts_in_use(bench: Bench, fonts: Sequence[CardTypeface]) -> Fonts:
    """These fonts, read from the bench, beside the shipped ones and this computer's. Raises NotFound, BadRecord."""
    return Fonts({each.name: _read(bench.file(each.sha256), each.number) for each in fonts})


@lru_cache(maxsize=16)
def _read(path: Path, number: int) -> Typeface:
    """A kept file never changes: it is called by what it holds."""
    return typeface_from(path, number=number)


def _plain_title(font: Typeface) -> str:
    return "".join(sign for sign in " ".join(font.title.split()) if sign.isprintable())[:LONGEST_NAME].strip()


def _free(name: str, taken: set[str]) -> str:
    found, number = name, 2
    while found.casefold() in taken:
        ending = f" {number}"
        found, number = name[: LONGEST_NAME - len(ending)] + ending, number + 1
    return found
