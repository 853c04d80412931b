"""The Debian package: the application folder in /usr/lib, and what a desktop and a shell look for in /usr/share."""

from __future__ import annotations

import gzip
import os
import shutil
import subprocess
from pathlib import Path

from tools.bundle import manual
from tools.bundle.icons import PNG_SIZES, SVG
from tools.licences import ROOT

LINUX = ROOT / "packaging" / "linux"
# Of zstd: more takes many times as long to pack for a few per cent.
LEVEL = 16
MAINTAINER = "Tackside founders <tackside@localhost>"
DESCRIPTION = """\
workbench for greeting cards on a small inkjet
 Tests which card takes ink, says whose fault a poor print is, and makes the
 card ready to print. Opens in the browser and keeps its records in your
 documents. Brings all that it needs along, Python too.
"""
CONTROL = """\
Package: tackside
Version: {version}
Architecture: {architecture}
Maintainer: {maintainer}
Installed-Size: {kib}
Depends: libc6 (>= {glibc})
Recommends: xdg-utils
Suggests: sane-utils, cups-client
Section: graphics
Priority: optional
Description: {description}"""


def build(folder: Path, icons: Path, work: Path, out: Path, *, version: str, glibc: str, built: int) -> Path:
    """Write ``tackside_VERSION_ARCHITECTURE.deb`` into ``out``. ``built`` is the time written on its files (1970)."""
    architecture = subprocess.run(
        ["dpkg", "--print-architecture"], capture_output=True, text=True, check=True
    ).stdout.strip()
    tree = work / "deb"
    shutil.rmtree(tree, ignore_errors=True)
    lay(folder, icons, tree)
    kib = sum(file.lstat().st_size for file in tree.rglob("*") if not file.is_dir()) // 1024
    control = tree / "DEBIAN" / "control"
    control.parent.mkdir()
    control.write_text(
        CONTROL.format(
            version=version, architecture=architecture, maintainer=MAINTAINER, kib=kib, glibc=glibc,
            description=DESCRIPTION,
        ),
        encoding="utf-8",
    )  # fmt: skip
    out.mkdir(parents=True, exist_ok=True)
    package = out / f"tackside_{version}_{architecture}.deb"
    # Every dpkg that comes with a glibc as new as this reads zstd, and unpacks it several times as fast as xz.
    subprocess.run(
        ["dpkg-deb", "--root-owner-group", "-Zzstd", f"-z{LEVEL}", "--build", str(tree), str(package)],
        check=True, stdout=subprocess.DEVNULL, env=os.environ | {"SOURCE_DATE_EPOCH": str(built)},
    )  # fmt: skip
    shutil.rmtree(tree)
    return package


def lay(folder: Path, icons: Path, tree: Path) -> None:
    """Everything where Debian's policy and the desktops' specifications have it."""
    share = tree / "usr" / "share"
    library = tree / "usr" / "lib" / "tackside"
    library.parent.mkdir(parents=True)
    shutil.copytree(folder, library, symlinks=True, copy_function=os.link)
    command = tree / "usr" / "bin" / "tackside"
    command.parent.mkdir()
    command.symlink_to("../lib/tackside/tackside")
    manual.write(share)
    page = share / "man" / "man1" / "tackside.1"
    (page.parent / "tackside.1.gz").write_bytes(gzip.compress(page.read_bytes(), mtime=0))
    page.unlink()
    entry = share / "applications" / "tackside.desktop"
    entry.parent.mkdir()
    shutil.copy(LINUX / "tackside.desktop", entry)
    for size in PNG_SIZES:
        icon = share / "icons" / "hicolor" / f"{size}x{size}" / "apps" / "tackside.png"
        icon.parent.mkdir(parents=True)
        shutil.copy(icons / f"tackside-{size}.png", icon)
    scalable = share / "icons" / "hicolor" / "scalable" / "apps" / "tackside.svg"
    scalable.parent.mkdir(parents=True)
    shutil.copy(SVG, scalable)
    papers = share / "doc" / "tackside"
    papers.mkdir(parents=True)
    notice = (ROOT / "NOTICE").read_text(encoding="utf-8")
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    where = "The texts of all licences named here: /usr/lib/tackside/_internal/licences\n"
    (papers / "copyright").write_text(f"{notice}\n{where}\n{licence}", encoding="utf-8")
    for path in tree.rglob("*"):
        if not path.is_symlink():
            path.chmod(0o755 if path.is_dir() or os.access(path, os.X_OK) else 0o644)
