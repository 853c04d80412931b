"""What ``tackside`` alone does: open the workbench for a person who can see it, and else say how to."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping

# What is said where nobody at this terminal would see a browser. Without --listen the workbench stays on that machine.
HOW = """\
There is no desktop here, so the workbench was not opened. To open it all the same, without a browser:
    tackside start --no-browser
All commands:
    tackside --help"""


def has_desktop(platform: str = sys.platform, environ: Mapping[str, str] = os.environ) -> bool:
    """Whether a browser that is opened now would be seen by whoever sits at this terminal.

    Somebody who has come in over SSH sees none, unless their own display came along (``ssh -X``).
    """
    if platform in {"win32", "darwin", "cygwin"}:
        return not any(environ.get(name) for name in ("SSH_CONNECTION", "SSH_TTY"))
    return bool(environ.get("DISPLAY") or environ.get("WAYLAND_DISPLAY"))


def is_person() -> bool:
    """Whether a person types and reads here: no script, no pipe."""
    return sys.stdin.isatty() and sys.stdout.isatty()
