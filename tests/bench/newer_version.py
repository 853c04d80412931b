"""A newer version of the program, to be run beside this one: the same but for one more form of the database.

It is laid out as a program of its own, whose ``tackside`` another process imports; only ``bench`` is copied.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Row, text

import tackside
from tackside.bench.database.storage import HEAD, connect, sqlite_url
from tackside.bench.location import DATABASE, place_of

FORM = "9001"
# What it knows of each stock, and could not do without: a row that this version wrote would have none.
STEPS = ("ALTER TABLE stock ADD COLUMN origin VARCHAR(20)", "UPDATE stock SET origin = 'carried'")
MIGRATION = f"""
from alembic import op

revision = "{FORM}"
down_revision = "{HEAD}"


def upgrade() -> None:
    for step in {STEPS!r}:
        op.execute(step)
"""


@dataclass(frozen=True)
class NewerVersion:
    """``source``: the folder that holds its ``tackside``."""

    source: Path

    def begin(self, bench: Path, *call: str) -> subprocess.Popen[str]:
        """One of its commands on a bench, begun; by default one that only opens it, and so brings it to its form."""
        command = [sys.executable, "-m", "tackside", "--bench", str(bench), *(call or ("stock", "list"))]
        environment = {**os.environ, "PYTHONPATH": str(self.source)}
        return subprocess.Popen(
            command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=self.source
        )  # fmt: skip

    def run(self, bench: Path, *call: str) -> None:
        """The same, and waited for."""
        ended(self.begin(bench, *call))


def ended(process: subprocess.Popen[str]) -> None:
    _, said = process.communicate(timeout=60)
    assert process.returncode == 0, said


def newer_version(folder: Path) -> NewerVersion:
    ours, own = Path(tackside.__file__).parent, folder / "newer" / "tackside"
    own.mkdir(parents=True)
    for part in ours.iterdir():
        if part.name not in ("bench", "__pycache__"):
            (own / part.name).symlink_to(part)
    shutil.copytree(ours / "bench", own / "bench", ignore=shutil.ignore_patterns("__pycache__"))
    storage = own / "bench" / "database" / "storage.py"
    changed = storage.read_text("utf-8").replace(f'\nHEAD = "{HEAD}"\n', f'\nHEAD = "{FORM}"\n')
    assert f'HEAD = "{FORM}"' in changed
    storage.write_text(changed, "utf-8")
    versions = own / "bench" / "database" / "migrations" / "versions"
    (versions / f"m{FORM}_origin.py").write_text(MIGRATION, "utf-8")
    return NewerVersion(own.parent)


def take_over(bench: Path) -> None:
    """What its first command does to a bench in a folder, done here: a process takes a second to begin."""
    with contextlib.closing(sqlite3.connect(bench / DATABASE)) as database, database:
        for step in (*STEPS, f"UPDATE alembic_version SET version_num = '{FORM}'"):
            database.execute(step)


def form_in(bench: Path) -> str:
    return str(_asked(bench, "SELECT version_num FROM alembic_version")[0][0])


def stocks_in(bench: Path) -> dict[str, str | None]:
    """Each stock's name in the newer form, and what that form says of it."""
    return {row.name: row.origin for row in _asked(bench, "SELECT name, origin FROM stock")}


def _asked(bench: Path, question: str) -> Sequence[Row[tuple[Any, ...]]]:
    where = place_of(bench).url or sqlite_url(bench / DATABASE)
    with connect(where).connect() as connection:
        return connection.execute(text(question)).all()
