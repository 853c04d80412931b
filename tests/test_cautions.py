"""The cautions stand once, and are shown where card is fed, cut or touched, and nowhere else.

What they say is common practice, no source.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import tackside
from tackside.cautions import (
    BLADES,
    CAUTIONS,
    DAMP_FINGERS,
    DAMP_FINGERTIP,
    HEAD_STRIKE,
    SMALL_PARTS,
    SMUDGE,
)
from tackside.cli.main import COMMANDS, main
from tackside.messages.wording import documents

ROOT = Path(__file__).parent.parent
SOURCE = Path(tackside.__file__).parent
HELP = {
    "": (HEAD_STRIKE, DAMP_FINGERS),
    "fit": (HEAD_STRIKE,),
    "sheet": (HEAD_STRIKE, SMUDGE),
    "answer": (DAMP_FINGERTIP,),
    "judge": (DAMP_FINGERTIP,),
    "stock side": (DAMP_FINGERTIP,),
    "card make": (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS),
    "card second-side": (HEAD_STRIKE, DAMP_FINGERS),
    "run send": (HEAD_STRIKE, DAMP_FINGERS),
    "run instructions": (HEAD_STRIKE, DAMP_FINGERS),
    "run picklist": (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS),
    "run labels": (BLADES, SMALL_PARTS),
    "scanner sharpness": (BLADES,),
}
WITHOUT = (
    *(name for name in COMMANDS if name not in HELP),
    "bench move",
    "bench show",
    "profile show",
    "printer add",
    "stock add",
    "trial set",
    "scanner learn",
    "picture check",
    "card new",
    "card preview",
    "run cost",
    "run count",
)
PAGES = {
    "README.md": (HEAD_STRIKE, DAMP_FINGERS, DAMP_FINGERTIP, SMUDGE, BLADES, SMALL_PARTS),
    "docs/workbench.md": (HEAD_STRIKE, DAMP_FINGERS, DAMP_FINGERTIP, SMUDGE, BLADES, SMALL_PARTS),
    "docs/test-a-card.md": (HEAD_STRIKE, DAMP_FINGERS, DAMP_FINGERTIP, SMUDGE),
    "docs/fold-and-fit.md": (HEAD_STRIKE, BLADES),
    "docs/make-a-card.md": (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS),
    "docs/plan-a-run.md": (HEAD_STRIKE, DAMP_FINGERS, BLADES, SMALL_PARTS),
    "docs/scanners.md": (BLADES,),
    "docs/the-job.md": (HEAD_STRIKE, DAMP_FINGERS, DAMP_FINGERTIP),
    "docs/which-side.md": (DAMP_FINGERTIP,),
    "docs/which-setting.md": (HEAD_STRIKE,),
}


def plain(text: str) -> str:
    return " ".join(text.split())


def told(text: str) -> set[str]:
    """The codes of the cautions that a text holds."""
    said = plain(text)
    return {each.code for each in CAUTIONS if str(each) in said}


def test_codes_are_stable_and_their_own() -> None:
    assert [each.code for each in CAUTIONS] == [
        "caution.head-strike",
        "caution.damp-fingers",
        "caution.damp-fingertip",
        "caution.smudge",
        "caution.smudge-on-sheet",
        "caution.blades",
        "caution.small-parts",
    ]
    assert documents((BLADES,)) == [{"code": "caution.blades", "values": {}, "text": str(BLADES)}]


@pytest.mark.parametrize("command", HELP)
def test_help_says_what_concerns_the_command(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command.split(), "--help"]) == 0
    assert told(capsys.readouterr().out) == {each.code for each in HELP[command]}


@pytest.mark.parametrize("command", WITHOUT)
def test_no_other_help_has_a_caution(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command.split(), "--help"]) == 0
    assert told(capsys.readouterr().out) == set()


@pytest.mark.parametrize("page", PAGES)
def test_the_documents_quote_the_cautions(page: str) -> None:
    text = plain((ROOT / page).read_text(encoding="utf-8").replace("\n- ", " "))
    assert {each.code for each in PAGES[page]} == told(text)


def texts_of(file: Path) -> str:
    """All texts of a source file, those of Python put together as Python does."""
    source = file.read_text(encoding="utf-8")
    if file.suffix != ".py":
        return source
    return "\n".join(
        each.value
        for each in ast.walk(ast.parse(source))
        if isinstance(each, ast.Constant) and isinstance(each.value, str)
    )


def test_a_caution_stands_in_one_place() -> None:
    """Whoever shows one takes it from there: a sentence copied is a sentence that drifts."""
    sources = [file for end in ("*.py", "*.html", "*.typ", "*.j2") for file in SOURCE.rglob(end)]
    assert {file.name for file in sources if told(texts_of(file))} == {"caution.py"}


@pytest.mark.parametrize(
    "page", [*sorted((ROOT / "docs").glob("*.md")), ROOT / "README.md"], ids=lambda p: p.name
)
def test_creasing_tools_crease(page: Path) -> None:
    """Knives and trimmers cut; a creasing tool has no blade."""
    assert "reasing tools cut" not in plain(page.read_text(encoding="utf-8"))
