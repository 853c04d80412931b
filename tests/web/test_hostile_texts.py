"""Names and notes that would be markup, addresses or formulas anywhere else: on every page, and behind every link."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urldefrag, urljoin, urlsplit

import html5lib
import pikepdf
import pytest

import tackside.web
from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.workflow.report import HTML, PDF, ReportWishes, report_on
from tests.web.at_work import add_art
from tests.web.hostile_bench import ATTRIBUTE, ELEMENT, HOSTILE, hostile_bench
from tests.web.pages import paths
from tests.web.workshop import ORIGIN, client_of

LINKS = {"href", "src", "action", "hx-get"}
MOST = 600
TEMPLATES = Path(tackside.web.__file__).parent / "templates"
SUM = str(7**5)  # what a template engine would make of the text


@dataclass(frozen=True)
class Seen:
    """What stood at an address, and on which page the link to it was."""

    of: str
    status: int
    kind: str
    text: str


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return hostile_bench(tmp_path_factory.mktemp("hostile") / "bench")


@pytest.fixture(scope="module")
def seen(bench: Bench) -> dict[str, Seen]:
    """Whatever is reached from the pages by links, by its address."""
    client = client_of(bench)
    art = add_art(bench, name=f"{HOSTILE.rpartition('/')[2]}{HOSTILE.replace('/', '')}.png")
    bench.jobs.add("read", {}, subject=HOSTILE)
    begin = ["/", *paths(bench, art).values()]
    left = [(path, "pages.py") for path in begin if not re.search("nowhere|Harbour|Tern", path)]
    found: dict[str, Seen] = {}
    while left and len(found) < MOST:
        path, of = left.pop()
        if path in found or path.startswith("/assets/") or leads_back(path, of):
            continue
        answer = client.get(path, follow_redirects=True)
        kind = answer.headers.get("content-type", "").partition(";")[0]
        is_text = kind.startswith(("text/", "image/svg", "application/json"))
        found[path] = Seen(of, answer.status_code, kind, answer.text if is_text else "")
        if kind == "text/html":
            left += [(to, path) for to in links(answer.text, path)]
    return found


def leads_back(path: str, of: str) -> bool:
    """The preferences, from a page that they lead back to; another page's are followed."""
    back = parse_qs(urlsplit(path).query).get("back", [""])[0] if path.startswith("/preferences") else ""
    return unquote(back) == unquote(of)


def links(page: str, path: str) -> Iterator[str]:
    """Where a page leads. Forms that are posted ask for what is typed and are left out."""
    for element in elements(page):
        for name in LINKS & set(element.attrib):
            is_post = element.tag == "form" and element.get("method", "").lower() == "post"
            to = urljoin(f"{ORIGIN}{path}", element.get(name))
            if to.startswith(ORIGIN) and not is_post:
                yield urldefrag(to).url.removeprefix(ORIGIN) or "/"


def elements(page: str) -> Iterator[Any]:
    tree = html5lib.parse(page, treebuilder="lxml", namespaceHTMLElements=False)
    return (each for each in tree.iter() if isinstance(each.tag, str))


def require_plain(page: str) -> None:
    """Texts are texts: no element, attribute or script has come of one."""
    for element in elements(page):
        assert element.tag != ELEMENT
        assert ATTRIBUTE not in element.attrib
        assert not [name for name in element.attrib if name.startswith("on")]
        for name in ("href", "src", "action", "formaction"):
            assert not element.get(name, "").lower().lstrip().startswith(("javascript:", "//"))
    assert SUM not in page


def test_every_link_leads_somewhere(seen: dict[str, Seen]) -> None:
    assert {path: (each.of, each.status) for path, each in seen.items() if each.status != 200} == {}
    assert 100 < len(seen) < MOST


def test_no_text_becomes_markup_on_any_page(seen: dict[str, Seen]) -> None:
    shown = 0
    for path, each in seen.items():
        if each.kind in ("text/html", "image/svg+xml"):
            assert f"<{ELEMENT}" not in each.text, path
            require_plain(each.text)
            shown += "&lt;tk-mark" in each.text
    assert shown > 40


def test_no_page_tells_where_the_bench_lies(seen: dict[str, Seen], bench: Bench) -> None:
    assert [path for path, each in seen.items() if str(bench.folder) in each.text] == []


# What a template puts into an address as it is: ids and hashes of ours, and addresses that a view has made.
OF_OURS = re.compile(
    r"^(\w+\.)*(id|sha256|trial|n|number|name|key|revision|reading|data|base|address|href|action|back|batch|file|uri)$"
    r"|^(base|way|href|action|fit|trial|of|query|heading|together|back|n|name|file|number|key)$"
)
QUOTED = re.compile(r"^(quote|key_of|asset|job_href)\(|^loop\.|\.shown\[|query\.address\(")


def test_whatever_stands_in_the_query_of_a_template_s_address_is_quoted() -> None:
    bare = []
    for file in TEMPLATES.rglob("*.html"):
        text = re.sub(r"\s+", " ", file.read_text(encoding="utf-8"))
        for value in re.findall(r'(?:href|src|action|formaction|hx-get|hx-post)="([^"]*)"', text):
            query = value.partition("?")[2]
            bare += [
                (file.name, each)
                for each in re.findall(r"=\{\{ (.*?) \}\}", query)
                if not QUOTED.search(each) and not OF_OURS.search(each)
            ]
            bare += [
                (file.name, each)
                for each in re.findall(r"/\{\{ (.*?) \}\}", value)
                if not QUOTED.search(each) and not OF_OURS.search(each)
            ]
    assert bare == []


@pytest.fixture(scope="module")
def judged(bench: Bench) -> list[str]:
    lines, _ = bench.catalogue.trials(ListAsked(sort="oldest", count=2))
    return [line.id for line in lines]


WISHES = ReportWishes(title=HOSTILE, note=HOSTILE, licence=HOSTILE, pictures=False, data=True)


def test_no_text_becomes_markup_in_a_report(bench: Bench, judged: list[str]) -> None:
    made = report_on(bench, judged, HTML, WISHES).decode()
    assert "&lt;tk-mark" in made
    require_plain(re.sub(r'href="data:[^"]*"', "", made))


def test_a_report_on_paper_does_nothing_and_its_tables_hold_no_formulas(
    bench: Bench, judged: list[str]
) -> None:
    with pikepdf.open(io.BytesIO(report_on(bench, judged, PDF, WISHES))) as made:
        for held in made.objects:
            if isinstance(held, pikepdf.Dictionary):
                assert not {"/JS", "/JavaScript", "/Launch", "/AA", "/SubmitForm"} & set(held.keys())
                assert held.get("/S") not in ("/JavaScript", "/Launch", "/SubmitForm", "/GoToR")
        tables = {
            name: made.attachments[name].get_file().read_bytes()
            for name in made.attachments
            if name.endswith("csv")
        }
    assert len(tables) == 2
    cells = [
        cell for data in tables.values() for row in csv.reader(io.StringIO(data.decode())) for cell in row
    ]
    assert f"'{HOSTILE}" in cells
    assert [cell for cell in cells if cell.startswith(("=", "+", "@", "\t", "\r"))] == []
