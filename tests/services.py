"""What the tests need beyond Python: a headless Chromium, for the pages that a person opens.

Standard library only: it runs before the environment does. On Debian-like Linux, as root, a missing
browser is installed; elsewhere the person is told, and the browser tests say that they were skipped.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")


def browser() -> str | None:
    """The path of a Chromium-like browser, or None."""
    found = (shutil.which(name) for name in BROWSERS)
    return next((path for path in found if path), None)


def provide() -> None:
    """Install what is missing where that can be done without asking, and say so where it can't."""
    if browser():
        return
    if sys.platform == "linux" and shutil.which("apt-get") and os.geteuid() == 0:
        print("Installing a headless browser for the tests…", flush=True)
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        subprocess.run(["apt-get", "update", "-qq"], check=False, env=quiet)
        subprocess.run(
            ["apt-get", "install", "-y", "-qq", "--no-install-recommends", "chromium"],
            check=False,
            env=quiet,
            stdout=subprocess.DEVNULL,
        )
    if not browser():
        print(
            "No Chromium found: the browser tests will be skipped. Install Chromium to run them.", flush=True
        )
