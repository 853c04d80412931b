"""The documentation as a site: every link, anchor and picture is there, and no page needs anything from outside."""

from __future__ import annotations

import doctest
import itertools
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date, time
from importlib.resources import as_file
from pathlib import Path
from typing import Any

import html5lib
import jsonschema
import pytest
from tools.site import interface, schemas
from tools.site.build import Built, build, main, unlisted
from tools.site.contents import DOCS, contents
from tools.site.page import LostLink, anchor_of, render

from tackside.bench.store import Bench
from tackside.cli.demo import scenario
from tackside.workflow.stocks.records import add_printer, add_stock

HTML = "{http://www.w3.org/1999/xhtml}"
ROOT = Path(__file__).parents[1]
# Kilobytes: one is seen at a glance on a slow line, all are cloned with the project.
MOST_KB, MOST_KB_IN_ALL = 250, 2500


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Built:
    return build(tmp_path_factory.mktemp("site"))


@pytest.fixture(scope="module")
def trees(site: Built) -> dict[str, Any]:
    return {name: html5lib.parse((site.folder / name).read_text("utf-8")) for name in site.pages}


def each(tree: Any, tag: str) -> Iterator[Any]:
    return iter(tree.iter(f"{HTML}{tag}"))


def ids_of(tree: Any) -> list[str]:
    return [element.get("id") for element in tree.iter() if element.get("id")]


def test_every_page_of_the_docs_is_in_the_contents() -> None:
    assert unlisted(contents()) == []


def test_what_the_code_knows_stands_in_the_docs_as_the_code_says_it() -> None:
    # In a process of its own: typing keeps unions of equal choices in the order in which one was met first, so what
    # other tests import turns choices around.
    told = "from tools.site.filled import outdated; print(*outdated(), sep='\\n')"
    done = subprocess.run([sys.executable, "-c", told], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


def test_every_link_leads_to_a_page_an_anchor_or_a_file_of_the_site(
    site: Built, trees: dict[str, Any]
) -> None:
    anchors = {name: set(ids_of(tree)) for name, tree in trees.items()}
    lost = []
    for name, tree in trees.items():
        for link in each(tree, "a"):
            if link.get("href").startswith("https:"):
                continue
            path, _, anchor = link.get("href").partition("#")
            target = path or name
            if target in anchors:
                if anchor and anchor not in anchors[target]:
                    lost.append(f"{name}: {link.get('href')}")
            elif not (site.folder / target).is_file():
                lost.append(f"{name}: {link.get('href')}")
    assert lost == []


def test_every_picture_is_there_and_says_what_it_shows(site: Built, trees: dict[str, Any]) -> None:
    shown = [(name, image) for name, tree in trees.items() for image in each(tree, "img")]
    assert len(shown) > len(trees) + 20
    assert [(name, i.get("src")) for name, i in shown if not (site.folder / i.get("src")).is_file()] == []
    in_text = [(name, i) for name, i in shown if i.get("src").startswith("pictures/")]
    assert [(name, i.get("src")) for name, i in in_text if not (i.get("alt") or "").strip()] == []


def test_every_picture_in_the_docs_is_shown_and_modest(trees: dict[str, Any]) -> None:
    shown = {Path(image.get("src")).name for tree in trees.values() for image in each(tree, "img")}
    files = sorted((DOCS / "pictures").iterdir())
    assert [file.name for file in files if file.name not in shown] == []
    sizes = [file.stat().st_size / 1000 for file in files]
    assert max(sizes) < MOST_KB
    assert sum(sizes) < MOST_KB_IN_ALL


def test_headings_go_down_step_by_step_and_ids_are_their_own(trees: dict[str, Any]) -> None:
    for name, tree in trees.items():
        (article,) = each(tree, "article")
        levels = [int(e.tag[-1]) for e in article.iter() if re.fullmatch(rf"{HTML}h[1-6]", str(e.tag))]
        assert levels[0] == 1, name
        assert levels.count(1) == 1, name
        assert all(after <= before + 1 for before, after in itertools.pairwise(levels)), name
        assert len(ids_of(tree)) == len(set(ids_of(tree))), name
        (page,) = each(tree, "html")
        assert page.get("lang") == "en"


def test_nothing_is_fetched_from_outside_and_no_script_runs(site: Built, trees: dict[str, Any]) -> None:
    for name, tree in trees.items():
        assert list(each(tree, "script")) == [], name
        fetched = [*(e.get("href") for e in each(tree, "link")), *(e.get("src") for e in each(tree, "img"))]
        assert [address for address in fetched if "//" in address] == [], name
    style = (site.folder / "site.css").read_text("utf-8")
    assert all((site.folder / path).is_file() for path in re.findall(r'url\("([^"]+)"\)', style))


def test_a_link_that_leads_nowhere_is_told(tmp_path: Path) -> None:
    page = tmp_path / "README.md"
    page.write_text("# Page\n\n[Lost](nowhere.txt)\n", encoding="utf-8")
    with pytest.raises(LostLink, match=r"nowhere\.txt"):
        render(page, {page: "page.html"})


def test_anchors_are_those_that_github_gives() -> None:
    taken: set[str] = set()
    assert (
        anchor_of("2. Describe the card and the printer, once", taken)
        == "2-describe-the-card-and-the-printer-once"
    )
    assert anchor_of("Scan from here", taken) == "scan-from-here"
    assert anchor_of("Scan from here", taken) == "scan-from-here-1"
    assert anchor_of("Output of `--json`", taken) == "output-of---json"


def test_a_folder_that_is_no_site_is_not_cleared(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "letter.txt").write_text("keep me", encoding="utf-8")
    assert main(["--out", str(tmp_path)]) == 2
    assert (tmp_path / "letter.txt").exists()
    assert "no site" in capsys.readouterr().out


def plain(value: Any) -> Any:
    """TOML as JSON has it: dates and times as text."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return value.isoformat() if isinstance(value, date | time) else value


def examples() -> Iterator[tuple[str, str, dict[str, Any]]]:
    """The files that the docs and the demo show, by kind."""
    blocks = {"stock": ("test-a-card.md", 0), "printer": ("test-a-card.md", 1), "run": ("plan-a-run.md", 0)}
    for kind, (page, number) in blocks.items():
        found = re.findall(r"(?s)```toml\n(.*?)```", (DOCS / page).read_text("utf-8"))
        yield kind, page, tomllib.loads(found[number])
    for file in (*scenario.STOCK_FILES, scenario.PRINTER_FILE, scenario.CARD_FILE):
        kind = {scenario.PRINTER_FILE: "printer", scenario.CARD_FILE: "card"}.get(file, "stock")
        yield kind, file, tomllib.loads(scenario.DATA.joinpath(file).read_text("utf-8"))


@pytest.mark.parametrize(
    ("kind", "where", "held"), list(examples()), ids=lambda each: each if isinstance(each, str) else ""
)
def test_the_schemas_take_what_the_docs_and_the_demo_show_and_no_other_key(
    kind: str, where: str, held: dict[str, Any]
) -> None:
    schema = json.loads(schemas.file_of(DOCS, kind).read_text("utf-8"))
    checker = jsonschema.Draft202012Validator(schema)
    checker.check_schema(schema)
    assert [error.message for error in checker.iter_errors(plain(held))] == []
    assert not checker.is_valid({**plain(held), "colour_of_the_box": "blue"})


@pytest.fixture(scope="module")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """A bench with the demo's cards and printer, and nothing printed."""
    bench = Bench.open(tmp_path_factory.mktemp("studio"))
    with ExitStack() as opened:
        for file in scenario.STOCK_FILES:
            add_stock(lambda: bench, opened.enter_context(as_file(scenario.DATA.joinpath(file))))
        add_printer(
            lambda: bench, opened.enter_context(as_file(scenario.DATA.joinpath(scenario.PRINTER_FILE)))
        )
    return bench


def test_the_examples_of_the_python_interface_run_as_they_stand(studio: Bench) -> None:
    text = re.sub(
        r"(?s)<!-- filled: interface -->.*?<!-- end -->", "", (DOCS / "python.md").read_text("utf-8")
    )
    tests = [
        doctest.DocTestParser().get_doctest(text, {"folder": studio.folder}, "python.md", "python.md", 0)
    ]
    finder = doctest.DocTestFinder(recurse=False)
    for named in itertools.chain.from_iterable(interface.FUNCTIONS.values()):
        found = interface.function(named)
        tests += finder.find(found, named, globs={**found.__globals__, "bench": studio})
    runner = doctest.DocTestRunner()
    said: list[str] = []
    for test in tests:
        runner.run(test, out=said.append)
    assert "".join(said) == ""
    assert runner.summarize(verbose=False).attempted >= 12


def test_every_function_of_the_python_interface_is_typed_and_described() -> None:
    for named in itertools.chain.from_iterable(interface.FUNCTIONS.values()):
        found = interface.function(named)
        arguments = set(
            found.__code__.co_varnames[: found.__code__.co_argcount + found.__code__.co_kwonlyargcount]
        )
        assert arguments | {"return"} == set(found.__annotations__), named
        assert found.__doc__, named
