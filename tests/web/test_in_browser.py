"""What a page says is done on a page: no command and no field of a file is named where the browser has its own way."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import tackside
from tackside.bench.store import Bench
from tackside.web.i18n.in_browser import in_browser, printed
from tests.web.workshop import TestClient

SOURCE = Path(tackside.__file__).parent
COMMAND = re.compile(r"\btackside [a-z]|(?<![\w-])--[a-z]|\b[a-z]+_(mm|pt)\b")
# What the browser never says: started and moved by commands, sent to a printer, files named by the person.
NOT_IN_BROWSER = (
    "bench/transfer/backup.py", "bench/database/migrations/", "bench/database/server.py", "bench/database/storage.py",
    "bench/store.py", "tasks/workers.py", "card/series/series.py", "card/views/turn_guide.py", "run/ipp/",
    "run/plan/parcels.py",
)  # fmt: skip
# What only a command does, so that a page names it as well.
BY_COMMAND_ALONE = re.compile(
    r"tackside scanner |tackside card second-side|tackside run picklist|end the name of --out in"
)


def sentences() -> Iterator[tuple[str, str]]:
    """Every text in the floors below the command line that is a sentence's part, with its file; what is filled in as
    the letter X or, where numbers stand, 1.5."""
    for file in sorted(SOURCE.rglob("*.py")):
        where = file.relative_to(SOURCE).as_posix()
        if where.startswith(("cli/", "web/i18n/in_browser.py", "messages/texts/", *NOT_IN_BROWSER)):
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        inside = {
            id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values
        }
        said_of = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                yield where, _filled(node)
            elif (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in inside | said_of
            ):
                yield where, node.value


def _filled(node: ast.JoinedStr) -> str:
    text = ""
    for part in node.values:
        if isinstance(part, ast.Constant):
            text += str(part.value)
        else:
            kind = "front" if text.endswith("--side ") else "stock" if text.endswith("tackside ") else "X"
            text += "1.5" if text.endswith("= ") else kind
    return text


def test_no_sentence_of_the_floors_names_a_command_on_a_page() -> None:
    named = [
        f"{where}: {text}"
        for where, text in sentences()
        if " " in text.strip() and COMMAND.search(in_browser(text)) and not BY_COMMAND_ALONE.search(text)
    ]
    assert named == []


@pytest.mark.parametrize(
    ("there", "here"),
    [
        (
            "The back is not the coated side: turn the card over, or make the sheet for --side front.",
            "The back is not the coated side: turn the card over, or make the sheet for its front.",
        ),
        ("see the names with tackside stock list", "choose it on the page Stocks"),
        ("add it first: tackside printer add FILE.toml", "describe it on the page Printers"),
        ("read what you printed: tackside read 7K3M FILE", "open the trial and read what you printed"),
        ("try size_pt = 8.5, or shorten it", "try a size of 8.5 pt, or shorten it"),
        ("Then put it in the stock file.", "Then put it in the stock's record."),
        ("a picture of --side by --side", "a picture of --side by --side"),
    ],
)
def test_a_mend_says_what_to_do_on_the_page(there: str, here: str) -> None:
    assert in_browser(there) == here


def test_what_is_no_text_is_left_alone() -> None:
    assert printed(None) is None
    assert printed(4) == 4


def test_a_page_and_the_api_each_say_it_in_their_own_way(client: TestClient, bench: Bench) -> None:
    page, told = client.get("/stocks/Nothing"), client.get("/api/stocks/Nothing")
    assert page.status_code == told.status_code == 404
    assert "the page Stocks" in page.text
    assert "tackside stock list" not in page.text
    assert "tackside stock list" in told.json()["mend"]
