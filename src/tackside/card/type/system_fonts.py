"""The fonts of this computer: where they lie, and which one has a character."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.card.type.typeface import FONT, Typeface, may_be_embedded, read_typeface
from tackside.errors import BadRecord

if TYPE_CHECKING:
    import uharfbuzz

SUFFIXES = (".ttf", ".otf", ".ttc", ".otc")
# Words in a file's name that tell a face other than an upright one of normal weight (common practice).
SPECIAL = (
    "bold", "italic", "oblique", "light", "thin", "black", "heavy", "medium", "condensed", "narrow", "mono",
    "extra", "display", "math", "caption",
)  # fmt: skip
MOST_FILES = 5000
LONGEST_NAME = 80


def font_folders(
    platform: str = sys.platform, environment: Mapping[str, str] = os.environ
) -> tuple[Path, ...]:
    """Where fonts usually lie on Linux, macOS and Windows; the person's own first."""
    home = Path(environment.get("HOME") or environment.get("USERPROFILE") or Path.home())
    if platform == "darwin":
        return (home / "Library/Fonts", Path("/Library/Fonts"), Path("/System/Library/Fonts"))
    if platform == "win32":
        local = Path(environment.get("LOCALAPPDATA") or home / "AppData/Local")
        windows = Path(environment.get("WINDIR") or "C:/Windows")
        return (local / "Microsoft/Windows/Fonts", windows / "Fonts")
    own = Path(environment.get("XDG_DATA_HOME") or home / ".local/share")
    shared = (environment.get("XDG_DATA_DIRS") or "/usr/local/share:/usr/share").split(":")
    return (own / "fonts", home / ".fonts", *(Path(each) / "fonts" for each in shared if each))


@lru_cache(maxsize=4)
def font_files(folders: tuple[Path, ...]) -> tuple[Path, ...]:
    """All font files there, upright faces of normal weight first, else by name: the same each time."""
    found: set[Path] = set()
    for folder in folders:
        for place, _, names in os.walk(folder):
            found.update(Path(place) / name for name in names if name.lower().endswith(SUFFIXES))
            if len(found) > MOST_FILES:
                break
    return tuple(sorted(found, key=lambda path: (_speciality(path), path.name.lower(), str(path))))


@dataclass(frozen=True)
class SystemFont:
    """A font of this computer by its own whole name; ``number`` is which of its file's fonts, counted from 1."""

    name: str
    path: Path
    number: int


@lru_cache(maxsize=4)
def system_fonts(folders: tuple[Path, ...]) -> tuple[SystemFont, ...]:
    """All fonts there that may be put into a file, by name, each name once."""
    found: dict[str, SystemFont] = {}
    for path in font_files(folders):
        for index, name in enumerate(_names(path)):
            if name:
                found.setdefault(name.casefold(), SystemFont(name, path, index + 1))
    return tuple(font for _, font in sorted(found.items()))


def system_face(character: str, folders: tuple[Path, ...], *, serif: bool) -> Typeface | None:
    """A font of this computer that has the character, of the wanted kind where there is one."""
    return next(_faces_with(character, folders, serif=serif), None)


def _faces_with(character: str, folders: tuple[Path, ...], *, serif: bool) -> Iterator[Typeface]:
    files = sorted(font_files(folders), key=lambda path: (_speciality(path), _is_serif(path) != serif))
    for path in files:
        for index, covered in enumerate(_coverage(path)):
            if ord(character) in covered:
                face = _face(path, index)
                if face is not None:
                    yield face


@lru_cache(maxsize=MOST_FILES)
def _coverage(path: Path) -> Sequence[frozenset[int]]:
    """The characters of each face in a file; none of a file that is not a font."""
    return tuple(frozenset(face.unicodes) for face in _open_faces(path))


def _names(path: Path) -> list[str]:
    """The whole name of each font in a file; empty for one that may not be put into a file, or says none."""
    import uharfbuzz as hb

    found = []
    for face in _open_faces(path):
        try:
            name = str(face.get_name(hb.OTNameIdPredefined.FULL_NAME) or "").strip()
        except UnicodeDecodeError:
            name = ""
        usable = {"glyf", "CFF "} & set(face.table_tags) and may_be_embedded(
            bytes(face.reference_table("OS/2").data)
        )
        found.append(name if usable and name.isprintable() and len(name) <= LONGEST_NAME else "")
    return found


def _open_faces(path: Path) -> Iterator[uharfbuzz.Face]:
    """The faces of a file; none of a file that is not a font."""
    import uharfbuzz as hb

    try:
        FONT.require(path)
        blob = hb.Blob.from_file_path(str(path))
    except (OSError, ValueError, BadRecord, hb.HarfBuzzError):
        return
    # A collection says how many faces it holds.
    count = hb.Face.count(blob) if hasattr(hb.Face, "count") and callable(hb.Face.count) else 1
    for index in range(min(count, 32)):
        yield hb.Face(blob, index)


@lru_cache(maxsize=64)
def _face(path: Path, index: int) -> Typeface | None:
    """A font of this computer, None where it cannot or may not be used."""
    try:
        return read_typeface(FONT.read(path), path.name, face_index=index, own=False)
    except BadRecord:
        return None


def _speciality(path: Path) -> int:
    name = path.stem.lower()
    return sum(word in name for word in SPECIAL)


def _is_serif(path: Path) -> bool:
    return "serif" in path.stem.lower() and "sans" not in path.stem.lower()
