"""Shared objects of Linux: which there are, what of glibc they ask for, and their symbol tables taken out."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

MAGIC = b"\x7fELF"


def shared_objects(folder: Path) -> Iterator[Path]:
    """Every ELF file below a folder, links left out."""
    for path in sorted(folder.rglob("*")):
        if path.is_file() and not path.is_symlink():
            with path.open("rb") as file:
                if file.read(4) == MAGIC:
                    yield path


def strip(paths: list[Path]) -> int:
    """Take out the symbol tables, which only a debugger reads; returns the bytes gained.

    A library whose segments were moved by a packager's tool may not bear it: strip then fails or warns, and the library
    stays as it was.
    """
    gained = 0
    for path in paths:
        part = path.with_name(f"{path.name}.stripped")
        done = subprocess.run(
            ["strip", "--strip-unneeded", "-o", str(part), str(path)], capture_output=True, check=False
        )
        if done.returncode == 0 and not done.stderr and part.stat().st_size < path.stat().st_size:
            gained += path.stat().st_size - part.stat().st_size
            part.chmod(path.stat().st_mode)
            part.replace(path)
        else:
            part.unlink(missing_ok=True)
    return gained


def least_glibc(paths: list[Path]) -> str:
    """The oldest version of glibc that has all that these files ask of it."""
    asked: set[tuple[int, ...]] = set()
    for path in paths:
        shown = subprocess.run(
            ["objdump", "-T", str(path)], capture_output=True, text=True, check=True
        ).stdout
        asked |= {
            tuple(map(int, found.split("."))) for found in re.findall(r"\*UND\*.*\bGLIBC_([0-9.]+)\)", shown)
        }
    return ".".join(map(str, max(asked)))
