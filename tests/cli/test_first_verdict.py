"""From a fresh clone to the first verdict: a person at a terminal, who writes no file and calls three commands.

With the one that sets Tackside up (``python3 do.py``, which any of them does by itself) that is four at most. The
practice press stands for printer and scanner.
"""

from __future__ import annotations

import json
import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

MOST_COMMANDS = 4
# What a person types: a small card, so that the walk is short.
OF_THE_CARD = ("Fulmar Matt 230", "A6", "flat", "matt", "230 gsm", "", "", "", "", "")
OF_THE_PRINTER = ("Tern 3", "", "", "300", "", "A4", "", "", "", "")


@pytest.mark.slow
def test_a_first_verdict_takes_three_commands_and_no_file(tmp_path: Path) -> None:
    walk = Walk(tmp_path)
    walk.at_terminal("sheet", "--out", "sheet.tif", answers=(*OF_THE_CARD, *OF_THE_PRINTER))
    trial = json.loads(walk.run("trial", "list", "--json"))["trials"][0]["trial"]
    # In place of a printer and a scanner.
    walk.run("practice", "print", trial, "--out", "scan.tif", "--fault", "none")
    practice = json.loads(walk.run("practice", "list", "--json"))["trials"][0]["trial"]
    walk.at_terminal("read", practice, "scan.tif")
    said = walk.at_terminal("judge", practice)
    assert "Verdict on" in said
    assert len(walk.typed) + 1 <= MOST_COMMANDS
    assert {each.suffix for each in tmp_path.iterdir() if each.is_file()} == {".tif"}


class Walk:
    """Calls Tackside as a person does, at a terminal of its own, and as the stand-ins do."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.typed: list[str] = []

    def at_terminal(self, *arguments: str, answers: tuple[str, ...] = ()) -> str:
        self.typed.append(arguments[0])
        controller, terminal = pty.openpty()
        process = subprocess.Popen(
            self._command(arguments), stdin=terminal, stdout=terminal, stderr=terminal, cwd=self.folder
        )
        os.close(terminal)
        shown, waiting = "", list(answers)
        deadline = time.monotonic() + 300
        while time.monotonic() < deadline:
            if select.select([controller], [], [], 0.2)[0]:
                try:
                    part = os.read(controller, 4096).decode("utf-8", "replace")
                except OSError:  # the other end is closed: the command has ended
                    break
                if not part:
                    break
                shown += part
                if waiting and part.rstrip(" ").endswith(">"):
                    os.write(controller, f"{waiting.pop(0)}\n".encode())
            elif process.poll() is not None:
                break
        os.close(controller)
        assert process.wait(timeout=60) == 0, shown
        assert waiting == [], shown
        return shown

    def run(self, *arguments: str) -> str:
        done = subprocess.run(
            self._command(arguments), cwd=self.folder, check=True, capture_output=True, text=True, timeout=300
        )
        return done.stdout

    def _command(self, arguments: tuple[str, ...]) -> list[str]:
        return [sys.executable, "-m", "tackside", "--bench", str(self.folder / "bench"), *arguments]
