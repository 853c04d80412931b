"""The house: rooms that one can find one's way in, doors that weigh nothing."""

from __future__ import annotations

import ast
from pathlib import Path

import tackside

SOURCE = Path(tackside.__file__).parent
ROOMS = tuple(sorted({file.parent for file in SOURCE.rglob("__init__.py")}))
# A door that holds more than its sentence, and why.
OPEN_DOORS = {
    "",  # the version
    "records",  # the contract between the floors, in one list
    "web/routes",  # the table of subjects
    "bench/database/migrations",  # which forms there were
}
# Our own choice: what a person takes in at a glance.
MOST_IN_A_ROOM = 14


def named(room: Path) -> str:
    return "" if room == SOURCE else room.relative_to(SOURCE).as_posix()


def test_no_room_is_too_full() -> None:
    full = {
        named(room): count
        for room in ROOMS
        if (count := sum(1 for file in room.glob("*.py") if file.name != "__init__.py")) > MOST_IN_A_ROOM
    }
    assert full == {}


def test_every_room_has_a_sentence_on_its_door() -> None:
    bare = [
        named(room)
        for room in ROOMS
        if not ast.get_docstring(ast.parse((room / "__init__.py").read_text(encoding="utf-8")))
    ]
    assert bare == []


def test_a_door_imports_nothing() -> None:
    """So that a module loads what it needs, and not what its neighbours need."""
    heavy = [
        named(room)
        for room in ROOMS
        if named(room) not in OPEN_DOORS
        and any(
            isinstance(each, (ast.Import, ast.ImportFrom))
            for each in ast.walk(ast.parse((room / "__init__.py").read_text(encoding="utf-8")))
        )
    ]
    assert heavy == []
