"""The single file: a small program, and behind it the application folder as a tar archive packed with zstd."""

from __future__ import annotations

import hashlib
import platform
import shutil
import struct
import subprocess
from pathlib import Path

from tools.bundle.deb import LEVEL, LINUX

MAGIC = b"TACKSIDE"
# The long window (128 MiB) finds what several packages carry: two builds of one linear algebra, of one JPEG library.
PACKED = ("zstd", "--quiet", f"-{LEVEL}", "--long=27", "--threads=0", "--force")


def pack(folder: Path, archive: Path, built: int) -> None:
    """The application folder as ``tackside/`` in a tar archive, the same for the same folder."""
    plain = archive.with_suffix("")
    subprocess.run(
        ["tar", "--create", "--file", str(plain), "--sort=name", "--owner=0", "--group=0", "--numeric-owner",
         f"--mtime=@{built}", "--transform", f"s,^{folder.name},tackside,S", "-C", str(folder.parent), folder.name],
        check=True,
    )  # fmt: skip
    subprocess.run([*PACKED, str(plain), "-o", str(archive)], check=True)
    plain.unlink()


def build(archive: Path, work: Path, out: Path, version: str) -> Path:
    """Write ``Tackside-VERSION-MACHINE.run`` into ``out``: a head compiled for the archive, the archive, its place."""
    with archive.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()[:16]
    head = work / "start"
    subprocess.run(
        ["cc", "-Os", "-s", "-Wall", "-Wextra", "-Werror", f'-DID="{version}-{digest}"', "-o", str(head),
         str(LINUX / "start.c"), "-l:libzstd.a"],
        check=True,
    )  # fmt: skip
    made = out / f"Tackside-{version}-{platform.machine()}.run"
    with made.open("wb") as whole:
        for part in (head, archive):
            with part.open("rb") as file:
                shutil.copyfileobj(file, whole)
        whole.write(struct.pack("<Q", head.stat().st_size) + MAGIC)
    made.chmod(0o755)
    return made
