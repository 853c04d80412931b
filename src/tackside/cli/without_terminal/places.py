"""Where the bench lies for a person who starts Tackside by a double click."""

from __future__ import annotations

from pathlib import Path

from tackside.bench.location import DATABASE, POINTER

NAME = "Tackside"


def bench_of_documents(documents: Path, home: Path | None = None) -> Path:
    """The bench in the user's documents; a bench that the command line began in the home folder stays in use.

    A bench is there where its database or the pointer to one is.
    """
    begun = (home or Path.home()) / NAME
    inside = documents / NAME
    if not _is_bench(inside) and _is_bench(begun):
        return begun
    return inside


def _is_bench(folder: Path) -> bool:
    return (folder / DATABASE).is_file() or (folder / POINTER).is_file()
