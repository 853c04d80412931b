"""Font files for the tests, made of the shipped ones: renamed, locked, gathered, cut down."""

from __future__ import annotations

import io
from importlib import resources
from pathlib import Path

import pytest
from fontTools.ttLib import TTCollection, TTFont

from tackside.sheet.page.text import FACES

DEJAVU = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
needs_dejavu = pytest.mark.skipif(
    not DEJAVU.exists(), reason="DejaVu Sans, which has Hebrew and Arabic, is not here"
)


def shipped(face: str) -> TTFont:
    file = resources.files("tackside.sheet") / "fonts" / FACES[face]
    return TTFont(io.BytesIO(file.read_bytes()), recalcTimestamp=False)


def write_locked(path: Path, embedding: int) -> Path:
    """A font whose OS/2 table says ``embedding`` (fsType)."""
    font = shipped("serif")
    font["OS/2"].fsType = embedding
    font.save(path)
    return path


def write_moved(path: Path, moves: dict[int, int]) -> Path:
    """A font whose characters are given other glyphs: new character → the shipped one whose shape it has."""
    font = shipped("serif")
    for table in font["cmap"].tables:
        shapes = dict(table.cmap)
        table.cmap = {
            new: shapes[old]
            for new, old in moves.items()
            if old in shapes and (new < 0x10000 or table.format == 12)
        }
    font.save(path)
    return path


def write_collection(path: Path) -> Path:
    gathered = TTCollection()
    gathered.fonts = [shipped("serif"), shipped("serif-italic")]
    gathered.save(str(path))
    return path
