"""What the documents say holds: the rules' limits, the commands, the links."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tackside.cautions import BLADES, DAMP_FINGERS, HEAD_STRIKE
from tackside.cli.main import COMMANDS
from tackside.verdict.grade.rules import RULES, Rule

ROOT = Path(__file__).parent.parent
DOCS = sorted((ROOT / "docs").glob("*.md"))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_the_limits_of_each_rule_are_those_in_the_document(rule: Rule) -> None:
    text = (ROOT / "docs" / "verdict.md").read_text(encoding="utf-8")
    (row,) = (line for line in text.splitlines() if line.startswith(f"| `{rule.id}` |"))
    said = [float(cell) for cell in row.split("|")[3:6]]
    assert said == pytest.approx([limit / rule.divisor for limit in rule.limits])


def test_every_command_is_in_the_document_for_scripts() -> None:
    text = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    assert [name for name in COMMANDS if f"`{name} " not in text] == []


@pytest.mark.parametrize("page", [ROOT / "README.md", *DOCS], ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    targets = re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8"))
    assert [target for target in targets if not (page.parent / target).exists()] == []


def test_the_readme_names_the_two_commands_and_the_cautions() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for said in (
        "python3 do.py demo",
        "python3 do.py test",
        "local post",
        *map(str, (HEAD_STRIKE, DAMP_FINGERS, BLADES)),
    ):
        assert said in text
