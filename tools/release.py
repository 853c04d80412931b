"""Makes a release into dist/: wheel, source archive, list of components (SBOM) and checksums, the same on every run.

python3 do.py release
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path

from tackside import __version__
from tools.licences import ROOT

DIST = ROOT / "dist"
CHANGELOG = ROOT / "CHANGELOG.md"
EPOCH = "SOURCE_DATE_EPOCH"  # https://reproducible-builds.org/specs/source-date-epoch/
# Where no release is dated yet, and nobody says otherwise: the day that hatchling takes.
UNDATED = 1580601600


def released_on(version: str, changelog: str) -> date | None:
    """The day that the changelog gives a version; None where it is not released yet.

    Raises:
        ValueError: when the heading of the version has something else for a day.
    """
    found = re.search(rf"^## \[{re.escape(version)}\] - (\S+)$", changelog, flags=re.MULTILINE)
    return None if found is None else date.fromisoformat(found[1])


def moment(version: str, changelog: str) -> int:
    """Seconds since 1970 that everything in the release is dated by: the environment's, else its day's, at midnight.

    It stands in what is packed, so that whoever builds from the source archive gets the same bytes.
    """
    if given := os.environ.get(EPOCH):
        return int(given)
    day = released_on(version, changelog)
    return UNDATED if day is None else int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())


def build(source: Path, folder: Path, when: int) -> tuple[Path, Path]:
    """The source archive and the wheel of a source tree, by the pinned builder."""
    command = [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-t", "wheel", "-d", str(folder)]
    built = subprocess.run(
        command, cwd=source, env=os.environ | {EPOCH: str(when)}, capture_output=True, text=True, check=False
    )
    if built.returncode:
        raise RuntimeError(built.stderr.strip() or built.stdout.strip())
    (archive,), (wheel,) = folder.glob("*.tar.gz"), folder.glob("*.whl")
    return archive, wheel


def checksums(files: Sequence[Path]) -> str:
    """As ``sha256sum --check`` reads them."""
    return "".join(f"{hashlib.sha256(each.read_bytes()).hexdigest()}  {each.name}\n" for each in files)


def main(arguments: Sequence[str]) -> int:
    if arguments:
        print(__doc__)
        return 0 if list(arguments) in (["--help"], ["-h"]) else 2
    from tools.components import components

    changelog = CHANGELOG.read_text(encoding="utf-8")
    try:
        when = moment(__version__, changelog)
    except ValueError as error:
        print(f"release: {EPOCH}, or the day of [{__version__}] in CHANGELOG.md: {error}")
        return 2
    with tempfile.TemporaryDirectory() as place:
        try:
            archive, wheel = build(ROOT, Path(place), when)
        except RuntimeError as error:
            print(f"release: {error}")
            return 2
        bom = Path(place) / f"tackside-{__version__}.cdx.json"
        bom.write_text(components((wheel, archive), when), encoding="utf-8", newline="\n")
        sums = Path(place) / f"tackside-{__version__}.sha256"
        sums.write_text(checksums((wheel, archive, bom)), encoding="utf-8", newline="\n")
        DIST.mkdir(exist_ok=True)
        for file in (wheel, archive, bom, sums):
            beside = DIST / f".{file.name}"
            beside.write_bytes(file.read_bytes())
            beside.replace(DIST / file.name)
            print(f"dist/{file.name}  {file.stat().st_size / 1e6:.1f} MB")
    if released_on(__version__, changelog) is None:
        print(f"release: CHANGELOG.md has no dated section [{__version__}] yet: these files are a trial")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
