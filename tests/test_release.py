"""What a release is made of: one version, a changelog by version, the same bytes each time, a list of components."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
import sys
import tomllib
from datetime import date
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from tools.release import EPOCH, UNDATED, build, checksums, moment, released_on

from tackside import __version__
from tests.test_do import pins

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CHANGELOG = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
# What a section's parts are called: Keep a Changelog 1.1.0, "Types of changes".
PARTS = {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}


def test_the_version_stands_in_one_place() -> None:
    assert "version" not in PROJECT["project"]
    assert PROJECT["project"]["dynamic"] == ["version"]
    place = ROOT / PROJECT["tool"]["hatch"]["version"]["path"]
    assert f'__version__ = "{__version__}"' in place.read_text(encoding="utf-8")


def test_the_changelog_is_in_the_usual_form() -> None:
    heads = re.findall(r"^## (.*)$", CHANGELOG, flags=re.MULTILINE)
    assert heads[0] == "[Unreleased]"
    days = []
    for head in heads[1:]:
        found = re.fullmatch(r"\[\d+\.\d+\.\d+\] - (\d{4}-\d{2}-\d{2})( \[YANKED\])?", head)
        assert found, head
        days.append(date.fromisoformat(found[1]))
    assert days == sorted(days, reverse=True)
    assert {*re.findall(r"^### (.*)$", CHANGELOG, flags=re.MULTILINE)} <= PARTS


def test_the_program_is_the_newest_version_of_the_changelog_or_not_released_yet() -> None:
    released = re.findall(r"^## \[(\d.*?)\]", CHANGELOG, flags=re.MULTILINE)
    assert __version__ == released[0] if __version__ in released else __version__ not in released


def test_a_release_is_dated_by_its_section(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(EPOCH, raising=False)
    text = "## [Unreleased]\n\n## [1.2.0] - 2027-01-02\n\n## [1.1.0] - 2026-12-31\n"
    assert released_on("1.2.0", text) == date(2027, 1, 2)
    # date -u -d 2027-01-02 +%s, GNU coreutils
    assert moment("1.2.0", text) == 1798848000
    assert moment("1.3.0", text) == UNDATED
    monkeypatch.setenv(EPOCH, "1000000000")
    assert moment("1.2.0", text) == 1000000000


@pytest.mark.parametrize("group", ["dependencies", "postgres", "cluster", "dev", "build"])
def test_every_dependency_has_a_lower_bound_that_the_locks_meet(group: str) -> None:
    project = PROJECT["project"]
    extras = {**project["optional-dependencies"], **PROJECT["dependency-groups"]}
    locked = {name: versions for kind in ("build", "run", "dev") for name, versions in pins(kind).items()}
    for text in project["dependencies"] if group == "dependencies" else extras[group]:
        wanted = Requirement(text)
        assert {each.operator for each in wanted.specifier} == {">="}, text
        name = wanted.name.lower().replace("_", "-")
        assert [each for each in locked[name] if each not in wanted.specifier] == [], text


@pytest.mark.slow
def test_two_builds_are_the_same_bytes_wherever_and_whenever_they_are_made(tmp_path: Path) -> None:
    first = build(ROOT, _folder(tmp_path, "first"), UNDATED)
    # Elsewhere, later, readable by nobody else, beside what somebody left there; and from what the first one packed.
    archive, wheel = first
    shutil.unpack_archive(archive, tmp_path / "ünpacked", filter="data")
    (source,) = (tmp_path / "ünpacked").iterdir()
    for path in source.rglob("*"):
        path.chmod(path.stat().st_mode & 0o700)
    (source / "notes.txt").write_text("mine")
    (source / "src" / "tackside" / "__pycache__").mkdir()
    (source / "src" / "tackside" / "__pycache__" / "x.pyc").write_bytes(b"x")
    second = build(source, _folder(tmp_path, "second"), UNDATED)
    assert [each.name for each in first] == [each.name for each in second]
    assert [_sha256(each) for each in first] == [_sha256(each) for each in second]
    # A day does count: it stands in what is packed.
    third = build(source, _folder(tmp_path, "third"), UNDATED + 86400)
    assert _sha256(third[1]) != _sha256(wheel)


@pytest.mark.slow
def test_the_list_of_components_is_valid_and_names_all_that_is_installed(tmp_path: Path) -> None:
    import cyclonedx.schema._res as schemas
    from jsonschema import Draft7Validator
    from referencing import Registry, Resource
    from tools.components import components

    wheel = tmp_path / "tackside-0-py3-none-any.whl"
    wheel.write_bytes(b"a wheel")
    text = components((wheel,), UNDATED)
    assert components((wheel,), UNDATED) == text
    listed = json.loads(text)

    # CycloneDX 1.6 (ECMA-424): the schema of OWASP, with those that it refers to, as cyclonedx-python-lib ships them.
    folder = Path(schemas.__file__).parent
    names = ("bom-1.6", "spdx", "jsf-0.82", "cryptography-defs")
    texts = [
        json.loads((folder / f"{name}.SNAPSHOT.schema.json").read_text(encoding="utf-8")) for name in names
    ]
    registry = Registry().with_resources([(each["$id"], Resource.from_contents(each)) for each in texts])
    assert list(Draft7Validator(texts[0], registry=registry).iter_errors(listed)) == []

    found = {(each["name"], each["version"]) for each in listed["components"]}
    run = {(name, version) for name, versions in pins("run").items() for version in versions}
    assert run <= found
    assert {"distributed", "psycopg"} <= {name for name, _ in found}
    assert "pytest" not in {name for name, _ in found}
    assert all(each["licenses"] for each in listed["components"])
    made = {each["name"]: each for each in listed["metadata"]["component"]["components"]}
    assert made[wheel.name]["hashes"] == [{"alg": "SHA-256", "content": _sha256(wheel)}]
    known = {each["ref"]: each.get("dependsOn", []) for each in listed["dependencies"]}
    assert any(
        each.startswith("starlette@") for ref in known if ref.startswith("fastapi@") for each in known[ref]
    )


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum here")
def test_checksums_are_read_by_the_usual_program(tmp_path: Path) -> None:
    (tmp_path / "a.whl").write_bytes(b"a")
    (tmp_path / "sums").write_text(checksums([tmp_path / "a.whl"]))
    checked = subprocess.run(["sha256sum", "--check", "sums"], cwd=tmp_path, check=False, capture_output=True)
    assert checked.returncode == 0


def test_do_release_explains_itself() -> None:
    shown = subprocess.run(
        [sys.executable, "-m", "tools.release", "--help"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (shown.returncode, "do.py release" in shown.stdout) == (0, True)


def _folder(parent: Path, name: str) -> Path:
    (parent / name).mkdir()
    return parent / name


def _sha256(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()
