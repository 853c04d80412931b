"""Shared objects of Linux: which there are, what of glibc they ask for, and their symbol tables taken out."""

from __future__ import annotations

import re
import struct
import subprocess
from collections.abc import Iterator
from pathlib import Path

# A segment that the system maps into memory: PT_LOAD.
LOADED = 1
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

    A library whose segments were moved by a packager's tool may not bear it: strip then fails, or writes what no system
    loads. Such a library stays as it was.
    """
    gained = 0
    for path in paths:
        part = path.with_name(f"{path.name}.stripped")
        done = subprocess.run(
            ["strip", "--strip-unneeded", "-o", str(part), str(path)], capture_output=True, check=False
        )
        is_sound = done.returncode == 0 and not done.stderr and can_be_mapped(part)
        if is_sound and part.stat().st_size < path.stat().st_size:
            gained += path.stat().st_size - part.stat().st_size
            part.chmod(path.stat().st_mode)
            part.replace(path)
        else:
            part.unlink(missing_ok=True)
    return gained


def can_be_mapped(path: Path) -> bool:
    """Whether each segment to be loaded lies in the file as it is to lie in memory, counted from the start of a page.

    The gABI's rule for loadable segments: offset and address are equal, modulo the alignment.
    """
    with path.open("rb") as file:
        head = file.read(64)
        if head[4] != 2 or head[5] != 1:  # not 64 bits, the lowest byte first: none that is built here
            return False
        table, size, count = *struct.unpack_from("<Q", head, 32), *struct.unpack_from("<HH", head, 54)
        file.seek(table)
        segments = [file.read(size) for _ in range(count)]
    for segment in segments:
        kind, offset, address, alignment = (
            *struct.unpack_from("<I", segment),
            *struct.unpack_from("<QQ", segment, 8),
            *struct.unpack_from("<Q", segment, 48),
        )
        if kind == LOADED and (offset - address) % max(alignment, 1):
            return False
    return True


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
