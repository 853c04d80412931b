"""Whoever reads a figure can follow it: what is cited is there, and nothing is cited that the project does not hold."""

from __future__ import annotations

import io
import re
import tokenize
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCES = ROOT / "docs" / "sources.md"
READ = (".py", ".md", ".toml", ".html", ".j2", ".typ", ".js", ".css", ".yml", ".yaml", ".csv")
# Where a person reads what is printed: nothing there may rest on memory.
PRINTED = tuple(f"src/tackside/{part}/" for part in ("verdict", "report", "web", "cli"))

ENTRY = re.compile(r"^\| (S\d+) \|(.*)\|(.*)\|(.*)\|$", re.MULTILINE)
CITED = re.compile(r"(?<![\w\"'.-])S[1-9]\d{0,2}(?!\w)")
CERTAINTIES = (
    "published standard",
    "published work",
    "open data",
    "several secondary sources agree",
    "one weak source",
    "common practice",
    "from memory",
    "this project's own",
)
FILE = re.compile(r"(?<![\w./*-])((?:[\w-]+/|\.\./)*[\w-]+\.md)\b")
# A page named in capitals: where a source is named; or, in a comment, in brackets or as the owner of a table.
NAMED = re.compile(r"(?:\b[Ss]ources?(?::|=\"| is| are)\s*|\b[Ss]ee\s+)([A-Z]{4,})\b")
REMARKED = re.compile(
    r"(?:(?<=\s\()|(?<=; )|(?<=^# ))([A-Z]{4,})(?=[):,])"
    r"|\b([A-Z]{4,})(?='s (?:table|classes|definitions?|aim|volumes|figures|near)\b)",
    re.MULTILINE,
)
# Capitals that name a publisher, a licence or a format, and no page.
BODIES = {
    "ASTM", "ANSI", "CGATS", "FIPS", "FOGRA", "JCGM", "SMPTE", "TIFF", "TAGA", "LGPL", "CIELAB", "CMYK", "GPOS", "TOML",
}  # fmt: skip
# Across lines of a comment, and across strings that Python joins.
FROM_MEMORY = re.compile(r"\bfrom(?:[\s\"#]|\bf\")+memory\b")
BANNED = re.compile(
    r"\bour\s+notes\b|\bthe\s+design\s+(?:names|says|asks)\b|\bthe\s+(?:issue|brief)\s+(?:names|says|asks|sets|of)\b"
    r"|\b(?:first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth)\s+issue\b",
    re.IGNORECASE,
)


def entries(page: str) -> dict[str, str]:
    """Number of each entry, and how sure it is; ValueError where a number stands twice."""
    found = {}
    for number, *_, sure in ENTRY.findall(page):
        if number in found:
            raise ValueError(f"{number} stands twice")
        found[number] = sure.strip()
    return found


def unsure(page: str) -> list[str]:
    """Entries that do not say how sure they are in one of the agreed words."""
    return [number for number, sure in entries(page).items() if not any(word in sure for word in CERTAINTIES)]


def remarks(name: str, text: str) -> str:
    """Comments and docstrings of a module; of any other text the whole."""
    if not name.endswith(".py"):
        return text
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return "\n".join(
        token.string
        for token in tokens
        if token.type == tokenize.COMMENT or (token.type == tokenize.STRING and token.string.endswith('"""'))
    )


def complaints(name: str, text: str, numbers: set[str], files: set[str]) -> list[str]:
    """What is wrong with the citations of one text: numbers, pages, phrases, memory.

    ``name`` is its path in the project, ``files`` are the names of all files there.
    """
    found = []
    if "sources.md" in text:
        found += [
            f"no entry {each} in docs/sources.md" for each in sorted(set(CITED.findall(text)) - numbers)
        ]
    found += [f"no page {page} here" for page in FILE.findall(text) if page.rpartition("/")[2] not in files]
    stems = {file.rpartition(".")[0] for file in files}
    for page in (
        *NAMED.findall(text),
        *("".join(groups) for groups in REMARKED.findall(remarks(name, text))),
    ):
        is_a_constant = re.search(rf"^{page}\b.*=", text, re.MULTILINE) is not None
        if page not in BODIES | stems and not is_a_constant:
            found.append(f"no page {page} here")
    found += [f"cites what is not here: {phrase}" for phrase in BANNED.findall(text)]
    if name.endswith((".md", ".csv")):
        return found
    for paragraph in re.split(r"\n\s*(?:#\s*)?\n", text):
        if FROM_MEMORY.search(paragraph) is None:
            continue
        if name.startswith(PRINTED):
            found.append("rests on memory, and is printed")
        elif "docs/sources.md" not in paragraph:
            found.append("from memory, without an entry in docs/sources.md")
    return found


@cache
def texts() -> dict[str, str]:
    """All that the project itself wrote in words, by its path; this file holds the bad examples."""
    folders = [ROOT / each for each in ("src", "tests", "benchmarks", "docs")]
    paths = [path for folder in folders for path in sorted(folder.rglob("*"))]
    paths += sorted(ROOT.glob("*.md"))
    return {
        path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8")
        for path in paths
        if path.suffix in READ and path != Path(__file__) and ".min." not in path.name
    }


def test_everything_that_is_cited_is_there() -> None:
    files = {name.rpartition("/")[2] for name in texts()} | {path.name for path in ROOT.iterdir()}
    numbers = set(entries(SOURCES.read_text(encoding="utf-8")))
    found = {name: complaints(name, text, numbers, files) for name, text in texts().items()}
    assert {name: said for name, said in found.items() if said} == {}


def test_every_entry_says_how_sure_it_is_and_the_code_cites_the_page() -> None:
    page = SOURCES.read_text(encoding="utf-8")
    assert len(entries(page)) >= 90
    assert unsure(page) == []
    cited = {
        number
        for name, text in texts().items()
        if name != "docs/sources.md" and "docs/sources.md" in text
        for number in CITED.findall(text)
    }
    # The others stand beside their figure by the name of the standard.
    assert len(cited) > 60


def test_nothing_printed_in_german_rests_on_memory() -> None:
    for path in ROOT.glob("src/tackside/**/*.po"):
        assert "from memory" not in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("src/tackside/fit/a.py", "# docs/sources.md, S12 and S999.", "no entry S999"),
        ("src/tackside/fit/a.py", "# Source: LEDGER, \"safe zone 3 mm\".", "no page LEDGER"),
        ("src/tackside/fit/a.py", "# ±1.5 mm is seen (LEDGER: one weak source).", "no page LEDGER"),
        ("src/tackside/fit/a.py", '# Dull prints (LEDGER, "What a print measures").', "no page LEDGER"),
        ("tests/report/a.py", 'source="LEDGER, classes of inkjet prints",', "no page LEDGER"),
        ("tests/verdict/a.py", "# as LEDGER's near-neutral aim, LEDGER's table", "no page LEDGER"),
        ("tests/a.py", "# A damp finger drags (LEDGER).", "no page LEDGER"),
        ("tests/a.py", "# LEDGER: ratio 1.3 to 2.5", "no page LEDGER"),
        ("tests/a.py", "# just visible (one ΔE00; LEDGER, several sources)", "no page LEDGER"),
        ("docs/a.md", "See [the ledger](ledger.md).", "no page ledger.md"),
        ("src/tackside/fit/a.toml", "undated in " + " ".join(("our", "notes")), "cites what is not here"),
        ("tests/a.py", "# The limits are the " + " ".join(("fifth", "issue")) + "'s.", "cites what is not here"),
        ("tests/a.py", "# The fault that " + " ".join(("the", "issue", "names")), "cites what is not here"),
        ("src/tackside/verdict/a.py", 'source="ISO 12647-2 (from memory)"', "and is printed"),
        ("src/tackside/verdict/a.py", '"ISO 12647-2 (from "\n    f"memory)"', "and is printed"),
        ("src/tackside/run/a.py", "# ISO 4217 (from memory)", "without an entry"),
    ],
)  # fmt: skip
def test_a_bad_citation_is_told(name: str, text: str, told: str) -> None:
    assert any(told in each for each in complaints(name, text, {"S12"}, {"sources.md"}))


@pytest.mark.parametrize(
    "text",
    [
        "# Bleed: docs/sources.md, S12.",
        "# Source: ASTM E308; (FOGRA39L, coated); see ISO 216.",
        "# typed from memory: docs/sources.md, S12",
        "# More in docs/sources.md; numpy's 'S16' is no entry.",
        "# it has an issue; the design of the sheet",
    ],
)
def test_a_good_citation_passes(text: str) -> None:
    assert complaints("src/tackside/run/a.py", text, {"S12"}, {"sources.md"}) == []


def test_an_entry_without_a_certainty_or_with_a_number_of_another_is_told() -> None:
    row = "| S1 | a figure | a page | {} |\n"
    assert unsure(row.format("common practice, no source")) == []
    assert unsure(row.format("surely")) == ["S1"]
    with pytest.raises(ValueError, match="S1 stands twice"):
        entries(2 * row.format("open data"))
