"""The commands of README and docs: where they stand, and which of them cannot be run here, and why.

A code block whose first line calls a program is a list of commands; any other shows a file or an answer. A comment in
the Markdown, which no reader sees, stands right before a block that a test cannot run in full:

    <!-- not run: why none of the block is -->
    <!-- not run, FIRST WORDS: why the lines that begin with these words are not -->
"""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGES = (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))
PROGRAMS = {"tackside", "python3", ".venv/bin/python", "uv", "pipx", "createdb", "source"}
_NOT_RUN = re.compile(r"<!-- not run(?:, (?P<first>[^:]+))?: (?P<why>.+?) -->")
_SETTING = re.compile(r"[A-Z_]+=")


@dataclass(frozen=True)
class Command:
    """One line of a block; ``why_not`` is empty where it is run."""

    page: str
    line: int
    text: str
    why_not: str = ""

    @property
    def words(self) -> list[str]:
        """As a shell takes them apart; what stands behind # is for the reader."""
        return shlex.split(self.text, comments=True)


def commands_of(page: Path) -> list[Command]:
    """Every command that stands in a block of its own, in the order of the page."""
    found: list[Command] = []
    told: list[tuple[str, str]] = []
    for start, block in _blocks(page.read_text(encoding="utf-8").splitlines()):
        if isinstance(block, str):
            told.extend((match["first"] or "", match["why"]) for match in _NOT_RUN.finditer(block))
            continue
        if _program(block[0]) in PROGRAMS:
            for number, line in enumerate(block, start):
                reasons = [why for first, why in told if line.startswith(first)]
                found.append(Command(page.name, number, line, reasons[0] if reasons else ""))
        told = []
    return found


def toml_files(page: Path) -> dict[str, str]:
    """Files that a page shows whole: the name that stands in the lines before a block of TOML → its text."""
    text = page.read_text(encoding="utf-8")
    shown = re.findall(
        r"`([\w-]+\.toml)`[^`]*?(?:`[^`\n]*`[^`]*?)*\n\n```toml\n(.*?)```", text, flags=re.DOTALL
    )
    return dict(shown)


def _program(line: str) -> str:
    words = [word for word in line.split() if not _SETTING.match(word)]
    return words[0] if words else ""


def _blocks(lines: list[str]) -> list[tuple[int, list[str] | str]]:
    """Indented blocks with the number of their first line, and the comments and paragraphs between them as text.

    What stands in fences is neither: it shows files.
    """
    found: list[tuple[int, list[str] | str]] = []
    fenced, before = False, ""
    for number, line in enumerate(lines, 1):
        if line.startswith("```"):
            fenced = not fenced
        indented = line.startswith("    ") and not fenced
        if indented and found and isinstance(found[-1][1], list) and before.startswith("    "):
            found[-1][1].append(line[4:])
        elif indented and (not before.strip() or before.startswith("<!--")):
            found.append((number, [line[4:]]))
        elif line.startswith("<!--"):
            found.append((number, line))
        before = line
    return found
