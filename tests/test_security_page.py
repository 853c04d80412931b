"""What docs/security.md says is tested is tested: each test that it names is there."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_every_test_that_the_page_names_is_there() -> None:
    named = set(re.findall(r"`(test_\w+)`", (ROOT / "docs" / "security.md").read_text(encoding="utf-8")))
    there: set[str] = set()
    for file in (ROOT / "tests").rglob("test_*.py"):
        there |= set(re.findall(r"^def (test_\w+)\(", file.read_text(encoding="utf-8"), re.MULTILINE))
    assert len(named) > 40
    assert sorted(named - there) == []
