"""The way in: what the locks pin, and what ``do.py`` says."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import do
import pytest

ROOT = Path(__file__).parent.parent
LOCKS = ("build", "run", "dev", "bundle")


def pins(kind: str) -> dict[str, set[str]]:
    """Name → versions (several where Pythons need different ones) of a lock."""
    text = (ROOT / "locks" / f"{kind}.txt").read_text(encoding="utf-8")
    found: dict[str, set[str]] = {}
    for name, version in re.findall(r"^([a-z0-9._-]+)==([^ \\;]+)", text, flags=re.MULTILINE):
        found.setdefault(name, set()).add(version)
    return found


@pytest.mark.parametrize("kind", LOCKS)
def test_every_pin_has_hashes_and_no_address(kind: str) -> None:
    text = (ROOT / "locks" / f"{kind}.txt").read_text(encoding="utf-8")
    blocks = re.split(r"\n(?=[a-z0-9])", text.strip())
    assert all("--hash=sha256:" in block for block in blocks)
    assert "://" not in text


def test_the_lock_for_developers_holds_the_same_versions_that_people_run() -> None:
    run, dev = pins("run"), pins("dev")
    assert {name: dev.get(name) for name in run} == run


def test_the_bundle_holds_the_same_versions_that_people_run() -> None:
    run, bundle = pins("run"), pins("bundle")
    assert {name: bundle.get(name) for name in run} == run


def test_every_dependency_is_locked() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = [re.split(r"[\[<>=!~ ]", each)[0].lower().replace("_", "-") for each in project["dependencies"]]
    assert [name for name in named if name not in pins("run")] == []


def test_do_explains_itself_and_refuses_what_it_does_not_know() -> None:
    shown = subprocess.run([sys.executable, ROOT / "do.py"], capture_output=True, text=True, check=False)
    assert shown.returncode == 0
    assert "do.py demo" in shown.stdout
    refused = subprocess.run(
        [sys.executable, ROOT / "do.py", "fly"], capture_output=True, text=True, check=False
    )
    assert refused.returncode == 2
    assert "do.py demo" in refused.stdout


@pytest.mark.parametrize(
    ("system", "place", "way"),
    [
        ("posix", ".venv/bin/tackside", "source .venv/bin/activate"),
        ("nt", r".venv\Scripts\tackside", r".venv\Scripts\activate"),
    ],
)
def test_do_says_how_the_command_is_reached_on_each_system(system: str, place: str, way: str) -> None:
    told = do.reached(system)
    assert place in told
    assert way in told
    page = (ROOT / "docs" / "install.md").read_text(encoding="utf-8")
    assert f"`{place}` | `{way}`" in page


def test_the_resolver_is_pinned() -> None:
    assert "uv" in pins("dev")
