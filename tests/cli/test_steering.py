"""What files and other people's records hold never steers the terminal, nor turns the order of what is read."""

from __future__ import annotations

import json
import re
import unicodedata
from pathlib import Path

import pytest

from tackside.cli.main import main
from tackside.messages.message import Message
from tackside.messages.wording import visible, visible_json

# Set the title, clear the screen (ECMA-48, with a C1 introducer too), ring, go back, read from right to left.
ODD = "Harbour\x1b]0;owned\x07\x1b[2J\x9b2J\x08\u202esatin"
TOML = r"""
name = "Harbour\u001B]0;owned\u0007\u001B[2J\u009B2J\u0008\u202Esatin"
base = "photo"
coated = "front"
open_size_mm = [180, 120]
notes = "a\u001B[31mb\nc"
"""
STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")


@pytest.mark.parametrize("command", [["stock", "list"], ["stock", "show", ODD], ["stock", "list", "--json"]])
def test_a_name_steers_no_terminal(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.toml").write_text(TOML, encoding="utf-8")
    here = ["--bench", str(tmp_path / "bench")]
    assert main([*here, "stock", "add", str(tmp_path / "odd.toml")]) == 0
    assert main([*here, *command]) == 0
    told = capsys.readouterr()
    for text in (told.out, told.err):
        assert not STEERS.search(text)
    assert "\\x1b]0;owned" in told.out or "\\u001b]0;owned" in told.out
    if "--json" in command:
        assert json.loads(told.out.splitlines()[-1])["stocks"][0]["name"] == ODD


def test_a_file_named_so_steers_no_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["--bench", str(tmp_path / "bench"), "picture", "check", str(tmp_path / "a\x1b[2Jb.jpg")])
    main(["--bench", str(tmp_path / "bench"), "read", str(tmp_path / "\u202egpj.exe")])
    told = capsys.readouterr()
    assert not STEERS.search(told.out + told.err)
    assert "a\\x1b[2Jb.jpg" in told.out + told.err


def test_every_steering_sign_is_shown() -> None:
    for code in range(0x3000):
        sign = chr(code)
        if sign in "\n\t":
            assert visible(sign) == sign
        elif unicodedata.category(sign) == "Cc" or unicodedata.bidirectional(sign) in (
            "LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI",
        ):  # fmt: skip
            assert visible(sign).startswith("\\")
    assert visible("Grüße → 3 × 4, שלום") == "Grüße → 3 × 4, שלום"
    whole = {"name": ODD}
    assert json.loads(visible_json(json.dumps(whole, ensure_ascii=False))) == whole


def test_messages_show_them_in_their_values() -> None:
    assert (
        str(Message("bench.no-stock", name="a\x1b[2J", hint="look")) == "there is no stock 'a\\x1b[2J'; look"
    )
