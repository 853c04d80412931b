"""What ``python3 do.py bundle`` does, in the environment of ``locks/bundle.txt``.

    bundle             the application folder, and from it what this system hands out, into dist/
    bundle --folder    the application folder alone, in .artifacts/bundle/app
    bundle --try       start what was built in a clean root without Python (Linux, as root)

On Linux: a Debian package and a single file. On Windows and macOS, both untried: the folder as an archive.
"""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
from collections.abc import Sequence
from importlib import metadata
from pathlib import Path

from tackside import __version__
from tools.bundle import papers
from tools.licences import ROOT

WORK = ROOT / ".artifacts" / "bundle"
APP = WORK / "app"
ICONS = WORK / "icons"
DIST = ROOT / "dist"
# The time on all files in the archives, in seconds since 1970. Not that of the build: it would make two builds differ.
BUILT = int(os.environ.get("SOURCE_DATE_EPOCH", "1767225600"))


def freeze() -> Path:
    """The application folder, by PyInstaller from ``packaging/tackside.spec``."""
    from tools.bundle import icons

    icons.draw(ICONS)
    shutil.rmtree(APP, ignore_errors=True)
    subprocess.run(
        [sys.executable, "-m", "PyInstaller", "--noconfirm", "--log-level", "WARN", "--distpath", str(APP),
         "--workpath", str(WORK / "work"), str(ROOT / "packaging" / "tackside.spec")],
        check=True, cwd=WORK,
        env=os.environ | {"TACKSIDE_ICONS": str(ICONS), "PYTHONPATH": str(ROOT / "src"), "PYTHONHASHSEED": "0"},
    )  # fmt: skip
    made = APP / ("Tackside.app" if sys.platform == "darwin" else "tackside")
    inside = made / "Contents" / "Resources" if sys.platform == "darwin" else made / "_internal"
    papers.copy_texts(inside / "licences")
    return made


def slim(folder: Path) -> None:
    """Take out of a folder for Linux what nobody needs to run it."""
    from tools.bundle import elf

    gained = elf.strip(list(elf.shared_objects(folder)))
    print(f"symbol tables taken out: {gained / 1e6:.0f} MB")


def size_of(folder: Path) -> float:
    """Megabytes (10⁶ bytes) of the files in a folder, or of a file."""
    files = [folder] if folder.is_file() else [file for file in folder.rglob("*") if not file.is_dir()]
    return sum(file.lstat().st_size for file in files) / 1e6


def hand_out(folder: Path) -> list[Path]:
    """What people fetch, made from the application folder."""
    DIST.mkdir(exist_ok=True)
    if sys.platform != "linux":
        name = f"Tackside-{__version__}-{platform.system()}-{platform.machine()}"
        form = "gztar" if sys.platform == "darwin" else "zip"  # an application of macOS has links in it
        return [Path(shutil.make_archive(str(DIST / name), form, folder.parent, folder.name))]
    from tools.bundle import deb, elf, single

    glibc = elf.least_glibc(list(elf.shared_objects(folder)))
    package = deb.build(folder, ICONS, WORK, DIST, version=__version__, glibc=glibc, built=BUILT)
    archive = WORK / "tackside.tar.zst"
    single.pack(folder, archive, BUILT)
    return [package, single.build(archive, WORK, DIST, __version__)]


def main(arguments: Sequence[str]) -> int:
    if list(arguments) == ["--try"]:
        from tools.bundle import clean_root

        return clean_root.try_all(sorted(DIST.glob("tackside_*.deb")), sorted(DIST.glob("Tackside-*.run")))
    if list(arguments) not in ([], ["--folder"]):
        print(__doc__)
        return 0 if list(arguments) in (["--help"], ["-h"]) else 2
    lacking = [
        tool
        for tool in ("strip", "objdump", "dpkg-deb", "zstd", "cc")
        if sys.platform == "linux" and not shutil.which(tool)
    ]
    if lacking:
        print(
            f"bundle: there is no {', '.join(lacking)}; on Debian: apt install build-essential libzstd-dev zstd"
        )
        return 2
    told = papers.problems(metadata.distributions())
    if told:
        print("\n".join(f"bundle: {each}" for each in told))
        return 1
    folder = freeze()
    if sys.platform == "linux":
        slim(folder)
        strange = papers.strange_libraries(folder)
        if strange:
            print("\n".join(f"bundle: {each}" for each in strange))
            return 1
    print(f"{folder.relative_to(ROOT)}: {size_of(folder):.0f} MB")
    for file in hand_out(folder) if not arguments else []:
        print(f"{file.relative_to(ROOT)}: {size_of(file):.1f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
