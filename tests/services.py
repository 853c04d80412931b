"""What the tests need beyond Python: a Chromium, PostgreSQL, a test printer that speaks IPP, SANE, open profiles.

Standard library only: it runs before the environment does. On Debian-like Linux, as root, what is missing
is installed; elsewhere the person is told, and the tests that need it say that they were skipped.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
# Where Debian keeps PostgreSQL's own programs; elsewhere they are on the path.
POSTGRES_HOME = Path("/usr/lib/postgresql")
# Debian makes and starts a database of its own on installation, unless this file says otherwise.
POSTGRES_CLUSTERS = Path("/etc/postgresql-common/createcluster.conf")


def browser() -> str | None:
    """The path of a Chromium-like browser, or None."""
    found = (shutil.which(name) for name in BROWSERS)
    return next((path for path in found if path), None)


def postgres() -> str | None:
    """The folder of PostgreSQL's programs (initdb, pg_ctl, postgres), or None."""
    on_path = shutil.which("initdb")
    if on_path:
        return str(Path(on_path).resolve().parent)  # a link leads to the folder that holds the others
    found = sorted(POSTGRES_HOME.glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    return str(found[-1].parent) if found else None


def ipp_printer() -> str | None:
    """The path of the IPP Everywhere test printer (and, beside it, of ``ipptool``), or None."""
    return shutil.which("ippeveprinter") if shutil.which("ipptool") else None


def announcer() -> str | None:
    """The path of Avahi, through which that printer announces itself (over D-Bus), or None."""
    return shutil.which("avahi-daemon") if shutil.which("dbus-daemon") else None


def publisher() -> str | None:
    """The path of ``avahi-publish``, which announces a service through that daemon, or None."""
    return shutil.which("avahi-publish") if announcer() else None


def scanning_tool() -> str | None:
    """The path of SANE's ``scanimage``, with its backends for tests, or None."""
    return shutil.which("scanimage")


def pdf_drawer() -> str | None:
    """The path of poppler's ``pdftocairo``, which draws PDFs by a code of its own, or None."""
    return shutil.which("pdftocairo") if shutil.which("pdftoppm") else None


def open_charts() -> str | None:
    """The folder of open characterisation data as Debian has them, or None."""
    folder = Path("/usr/share/color/icc")
    return str(folder) if (folder / "FOGRA30L.ti3").exists() else None


def printing_profile() -> str | None:
    """The default CMYK profile in the Debian package libgs-common, or None."""
    profile = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
    return str(profile) if profile.exists() else None


def menu_checker() -> str | None:
    """The path of ``desktop-file-validate``, or None."""
    return shutil.which("desktop-file-validate")


def packer() -> str | None:
    """The path of ``zstd``, or None."""
    return shutil.which("zstd")


def zstd_headers() -> str | None:
    """The header of the library that unpacks the bundle's single file, or None."""
    header = Path("/usr/include/zstd.h")
    return str(header) if header.exists() else None


def printer_tools() -> bool:
    """Whether all is there to start a test printer."""
    return ipp_printer() is not None and announcer() is not None


# Debian package → how to tell that it is there, and which tests are skipped without it.
NEEDED: dict[str, tuple[Callable[[], str | None], str]] = {
    "chromium": (browser, "browser tests"),
    "poppler-utils": (pdf_drawer, "tests that draw PDFs a second time"),
    "postgresql": (postgres, "tests of a bench on PostgreSQL"),
    "cups-ipp-utils": (ipp_printer, "tests of printing by IPP"),
    "avahi-daemon": (announcer, "tests of printing by IPP"),
    "avahi-utils": (publisher, "tests that a scanner which announces itself is found"),
    "sane-utils": (scanning_tool, "tests of scanning through SANE"),
    "icc-profiles-free": (open_charts, "examiner's prints and grades on further papers of open data"),
    "libgs-common": (printing_profile, "examiner's prints and grades through others' profiles"),
    "desktop-file-utils": (menu_checker, "check of the bundle's entry in the menu"),
    "libzstd-dev": (zstd_headers, "tests of the bundle's single file"),
    "zstd": (packer, "tests of the bundle's single file"),
}


def provide() -> None:
    """Install what is missing where that can be done without asking, and say so where it can't."""
    missing = [package for package, (found, _) in NEEDED.items() if not found()]
    if not missing:
        return
    if sys.platform == "linux" and shutil.which("apt-get") and os.geteuid() == 0:
        print(f"Installing for the tests: {', '.join(missing)}…", flush=True)
        if "postgresql" in missing and not POSTGRES_CLUSTERS.exists():
            POSTGRES_CLUSTERS.parent.mkdir(parents=True, exist_ok=True)
            POSTGRES_CLUSTERS.write_text("create_main_cluster = false\n", encoding="utf-8")
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        subprocess.run(["apt-get", "update", "-qq"], check=False, env=quiet)
        for package in missing:
            subprocess.run(
                ["apt-get", "install", "-y", "-qq", "--no-install-recommends", package],
                check=False,
                env=quiet,
                stdout=subprocess.DEVNULL,
            )
    for package, (found, tests) in NEEDED.items():
        if not found():
            print(f"No {package} found: the {tests} will be skipped. Install it to run them.", flush=True)
