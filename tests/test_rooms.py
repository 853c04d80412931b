"""The house: rooms that one can find one's way in, doors that weigh nothing."""

from __future__ import annotations

import ast
from collections.abc import Container, Iterator, Mapping
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


def test_a_class_name_has_one_meaning() -> None:
    where: dict[str, list[str]] = {}
    for file in SOURCE.rglob("*.py"):
        for each in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(each, ast.ClassDef):
                where.setdefault(each.name, []).append(file.relative_to(SOURCE).as_posix())
    assert {name: files for name, files in where.items() if len(files) > 1} == {}


def test_no_modules_import_each_other_in_a_circle() -> None:
    """Imports for the type checker and inside functions count too: a circle of those is one idea in two places."""
    assert circles(imports_of_all()) == set()


def test_a_circle_is_found() -> None:
    """The search itself, on a graph whose circles are seen at a glance."""
    graph = {"a": {"b"}, "b": {"c"}, "c": {"b", "d"}, "d": set(), "e": {"a", "f"}, "f": {"g"}, "g": {"e"}}
    assert circles(graph) == {("b", "c"), ("e", "f", "g")}


def imports_of_all() -> dict[str, set[str]]:
    """Each module of the package with those modules of it that it imports, wherever the import stands."""
    files = {module_of(file): file for file in SOURCE.rglob("*.py")}
    return {
        name: {
            found
            for each in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
            for found in imported_by(each, files)
            if found != name
        }
        for name, file in files.items()
    }


def module_of(file: Path) -> str:
    parts = file.relative_to(SOURCE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported_by(node: ast.AST, known: Container[str]) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (each.name for each in node.names if each.name in known)
    elif isinstance(node, ast.ImportFrom) and node.module is not None and node.level == 0:
        for each in node.names:
            inner = f"{node.module}.{each.name}"
            if inner in known:
                yield inner
            elif node.module in known:
                yield node.module


def circles(graph: Mapping[str, set[str]]) -> set[tuple[str, ...]]:
    """The modules that reach each other, sorted, one tuple a circle."""
    reached = {name: reach(graph, name) for name in graph}
    return {
        tuple(sorted(other for other in reached[name] if name in reached[other]))
        for name in graph
        if name in reached[name]
    }


def reach(graph: Mapping[str, set[str]], start: str) -> set[str]:
    """What can be come to from ``start`` in a step or more."""
    seen: set[str] = set()
    waiting = list(graph[start])
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += graph[name]
    return seen
