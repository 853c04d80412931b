"""Licences: nothing goes in that nobody has looked at. The packages here are invented; the last tests are real."""

from __future__ import annotations

import re
import tomllib
from email.message import Message
from pathlib import Path

import pytest
from tools import notice
from tools.licences import (
    TABLE,
    Installed,
    Locked,
    Table,
    TableError,
    crate_licences,
    declared,
    identifiers,
    needed_by,
    problems,
    read_locks,
    read_table,
)

from tests.test_do import pins

ROOT = Path(__file__).parent.parent
WRITTEN = """
included = []

[licences]
MIT = "keep notice and text"
"LGPL-2.1-or-later" = "the user may replace the library"

[packages]
plover = "MIT"
tern = { declared = "The MIT one", licence = "MIT" }

[[bundled]]
package = "plover"
source = "its own list"
parts = [{ name = "libfulmar", licence = "LGPL-2.1-or-later", files = ["libfulmar"] }]
"""
LOCK = """\
plover==1.2 \\
    --hash=sha256:00
    # via tackside (pyproject.toml)
tern==2.0 ; sys_platform == 'win32' \\
    --hash=sha256:00
    # via plover
"""
PLOVER = Installed("1.2", "MIT", True, ("libfulmar",))
TERN = Installed("2.0", "The MIT one", True)


def told(
    root: Path,
    plover: Installed | None = PLOVER,
    tern: Installed | None = TERN,
    table: str = WRITTEN,
    lock: str = LOCK,
) -> list[str]:
    """What the checker says of two invented packages, in a source tree that holds ``root``'s files."""
    return problems(read_table(table), read_locks([lock]), {"plover": plover, "tern": tern}, root)


def test_what_has_been_looked_at_passes(tmp_path: Path) -> None:
    assert told(tmp_path) == []


def test_a_package_that_only_other_platforms_need_may_be_absent_and_no_other(tmp_path: Path) -> None:
    assert told(tmp_path, tern=None) == []
    (said,) = told(tmp_path, plover=None)
    assert said.startswith("plover: it is not installed")


@pytest.mark.parametrize(
    ("plover", "says"),
    [
        (
            Installed("1.2", "MIT AND Zlib", True),
            "plover: it declares 'MIT AND Zlib', where the table has 'MIT'",
        ),
        (Installed("1.2", "nothing", True), "plover: it declares 'nothing'"),
        (Installed("1.3", "MIT", True), "plover: 1.3 is installed, the locks want 1.2"),
        (Installed("1.2", "MIT", False), "plover: it brings no licence text along"),
        (Installed("1.2", "MIT", True, ("libauk",)), "plover: nobody has looked at the library libauk"),
        (Installed("1.2", "MIT", True, (), ("MIT OR Zlib",)), "nobody has looked at the licence 'Zlib'"),
    ],
)
def test_a_package_that_says_something_new_fails(tmp_path: Path, plover: Installed, says: str) -> None:
    (said,) = told(tmp_path, plover)
    assert says in said


@pytest.mark.parametrize(
    ("taken", "put", "says"),
    [
        ('plover = "MIT"\n', "", "plover: nobody has looked at its licence (it declares 'MIT')"),
        ("[packages]\n", '[packages]\nauk = "MIT"\n', "auk: no lock names it any more"),
        ('package = "plover"', 'package = "auk"', "auk: no lock names it any more"),
        ('licence = "MIT" }', 'licence = "Zlib" }', "tern: nobody has looked at the licence 'Zlib'"),
        (
            'licence = "LGPL-2.1-or-later"',
            'licence = "LGPL-2.1-only"',
            "plover, libfulmar: nobody has looked at the licence 'LGPL-2.1-only'",
        ),
    ],
)
def test_a_table_that_does_not_fit_the_lock_fails(tmp_path: Path, taken: str, put: str, says: str) -> None:
    assert WRITTEN.count(taken) == 1
    said = told(tmp_path, table=WRITTEN.replace(taken, put))
    assert [each for each in said if each.startswith(says)] != []


def test_files_of_others_in_the_source_must_be_named_and_be_there(tmp_path: Path) -> None:
    (tmp_path / "src").mkdir()
    (tmp_path / "src" / "Auk.otf").touch()
    (said,) = told(tmp_path)
    assert said.startswith("src/Auk.otf: nobody has said whose it is")
    auk = '[{ what = "Auk", copyright = "A. Uk", licence = "MIT", where = ["src/*.otf"], text = ["src/MIT.txt"] }]'
    named = WRITTEN.replace("included = []", f"included = {auk}")
    (said,) = told(tmp_path, table=named)
    assert said.startswith("Auk: there is no file src/MIT.txt")
    (tmp_path / "src" / "MIT.txt").touch()
    assert told(tmp_path, table=named) == []


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("[packages", "not TOML"),
        ("included = []\nbundled = []\n[licences]", "lacks 'packages'"),
        (WRITTEN.replace('licence = "MIT" }', 'license = "MIT" }'), "wrong or missing key"),
    ],
)
def test_a_table_that_cannot_be_read_is_told_in_words(table: str, says: str) -> None:
    with pytest.raises(TableError, match=says):
        read_table(table)


# Core metadata, version 2.4 (PEP 639): License-Expression takes the place of License and of the classifiers.
@pytest.mark.parametrize(
    ("headers", "says"),
    [
        (
            [("License-Expression", "MIT-0"), ("Classifier", "License :: OSI Approved :: BSD License")],
            "MIT-0",
        ),
        ([("License", "BSD"), ("Classifier", "License :: OSI Approved :: BSD License")], "BSD"),
        ([("License", "Permission is\ngranted"), ("Classifier", "License :: OSI Approved :: A B")], "A B"),
        ([("Classifier", "License :: OSI Approved"), ("Classifier", "Topic :: Printing")], "nothing"),
    ],
)
def test_what_a_package_declares(headers: list[tuple[str, str]], says: str) -> None:
    message = Message()
    for key, value in headers:
        message[key] = value
    assert declared(message) == says  # type: ignore[arg-type]  # importlib.metadata hands out such a message too


def test_an_exception_makes_another_licence() -> None:
    said = "(MIT OR Apache-2.0) AND GPL-3.0-or-later WITH GCC-exception-3.1"
    assert identifiers(said) == {"MIT", "Apache-2.0", "GPL-3.0-or-later WITH GCC-exception-3.1"}


def test_both_forms_of_a_licence_in_a_list_of_parts_are_read() -> None:
    parts = '[{"licenses": [{"expression": "MIT OR ISC"}]}, {"licenses": [{"license": {"id": "Zlib"}}]}, {}]'
    assert crate_licences(f'{{"components": {parts}}}') == {"MIT OR ISC", "Zlib"}


def test_a_lock_is_read_with_who_asks_for_each() -> None:
    several = "    # via\n    #   plover\n    #   tackside (pyproject.toml)\n"
    lock = read_locks(
        [
            LOCK,
            f"auk==1 ; python_version < '3.12' \\\n{several}auk==2 ; python_version >= '3.12' \\\n{several}",
        ]
    )
    assert lock["plover"] == Locked(("1.2",), frozenset({"tackside"}), True)
    assert lock["tern"] == Locked(("2.0",), frozenset({"plover"}), False)
    assert lock["auk"] == Locked(("1", "2"), frozenset({"plover", "tackside"}), False)
    assert needed_by(["plover"], lock) == {"plover", "tern", "auk"}


def real() -> tuple[Table, dict[str, Locked]]:
    texts = [(ROOT / "locks" / f"{kind}.txt").read_text(encoding="utf-8") for kind in notice.LOCKS]
    return read_table(TABLE.read_text(encoding="utf-8")), read_locks(texts)


def test_every_licence_of_the_locks_has_been_looked_at_and_the_papers_are_up_to_date(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code = notice.main(["--check"])
    assert capsys.readouterr().out == ""
    assert code == 0


def test_the_locks_are_read_whole() -> None:
    _, locked = real()
    together: dict[str, set[str]] = {}
    for kind in notice.LOCKS:
        for name, versions in pins(kind).items():
            together.setdefault(name, set()).update(versions)
    assert {name: set(lock.versions) for name, lock in locked.items()} == together


def test_notice_names_all_that_users_install() -> None:
    text = (ROOT / "NOTICE").read_text(encoding="utf-8")
    for name in {*pins("run"), "psycopg", "psycopg-binary", "tzdata", "distributed", "dask"}:
        (version,) = re.findall(rf"^- {re.escape(name)} ([^:]+): ", text, flags=re.MULTILINE)
        assert set(version.split(" / ")) == pins("dev")[name]


def test_the_wheel_holds_the_texts_of_what_it_contains() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    table, _ = real()
    needed = {text for each in table.included if each.shipped for text in each.text}
    assert needed | {"LICENSE", "NOTICE"} == set(project["license-files"])
