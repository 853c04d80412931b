"""A bench with the demo's invented records, and a way to call the command line on it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tackside.cli.main import main

EXAMPLES = Path(__file__).parents[2] / "src" / "tackside" / "cli" / "demo" / "data"
SATIN = EXAMPLES / "harbour-satin-300.toml"
CRAFT = EXAMPLES / "shingle-craft-250.toml"
TERN = EXAMPLES / "tern-8.toml"


class Caller:
    """Calls Tackside on one bench and hands back what it says."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._capsys = capsys

    def _call(self, *arguments: str | Path) -> tuple[int, str, str]:
        self._capsys.readouterr()
        code = main(["--bench", str(self.folder), *map(str, arguments)])
        shown = self._capsys.readouterr()
        return code, shown.out, shown.err

    def text(self, *arguments: str | Path) -> str:
        """What is shown to a person, its line breaks undone."""
        code, out, err = self._call(*arguments)
        assert (code, err) == (0, "")
        return " ".join(out.split())

    def document(self, *arguments: str | Path) -> dict[str, Any]:
        """The one JSON document."""
        code, out, err = self._call(*arguments, "--json")
        assert (code, err) == (0, "")
        found = json.loads(out)
        assert isinstance(found, dict)
        return found

    def warnings(self, *arguments: str | Path) -> str:
        """What a command that does its work says on standard error beside it."""
        code, _, err = self._call(*arguments)
        assert code == 0
        return err

    def refusal(self, *arguments: str | Path) -> str:
        """The one line on standard error of a call that is refused."""
        code, out, err = self._call(*arguments)
        assert (code, out) == (2, "")
        assert err.startswith("tackside: ")
        assert err.count("\n") == 1
        assert ";" in err
        return err
