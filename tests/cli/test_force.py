"""No command writes over a file unasked, and none ever over what it reads."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from pathlib import Path

import pytest
from PIL import Image

import tackside.cli.commands as commands
from tackside.bench.store import Bench
from tackside.cli.main import main
from tackside.profile.icc.working_space import working_space_profile
from tests.card import designs

KEPT = b"somebody's own"
CARD = """
stock = "Harbour Satin 300"
printer = "Tern 8"

[[pictures]]
panel = "front"
file = "corners.png"
"""


@pytest.fixture
def at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(designs.stock())
    bench.printers.add(designs.printer(grid_ppi=200))
    Image.fromarray(designs.corners(400, 300)).save(tmp_path / "corners.png")
    (tmp_path / "card.toml").write_text(CARD, encoding="utf-8")
    (tmp_path / "run.toml").write_text("", encoding="utf-8")
    (tmp_path / "space.icc").write_bytes(working_space_profile("srgb"))
    return tmp_path


STOCK, PRINTER = "Harbour Satin 300", "Tern 8"
WRITING = {
    "sheet.tif": ("sheet", STOCK, PRINTER, "--out", "sheet.tif"),
    "sheet.pdf": ("sheet", STOCK, PRINTER, "--out", "new.tif", "--out", "sheet.pdf"),
    "card.pdf": ("card", "make", "card.toml", "--out", "card.pdf"),
    "card.png": ("card", "preview", "card.toml", "--out", "card.png"),
    "guide.pdf": ("card", "second-side", PRINTER, "--out", "guide.pdf"),
    "bench.zip": ("bench", "backup", "bench.zip"),
    "stock.zip": ("stock", "export", STOCK, "--out", "stock.zip"),
    "page.html": ("profile", "show", "space.icc", "--page", "page.html"),
}
# Refused before anything else is looked for.
AT_ONCE = {
    "proof.png": ("proof", "corners.png", "--profile", "space.icc", "--out", "proof.png"),
    "corners-outside.png": (
        "proof",
        "corners.png",
        "--profile",
        "space.icc",
        "--out",
        "new.png",
        "--maps",
        ".",
    ),
    "report.html": ("report", "7K3M9QPA", "--out", "report.html"),
    "contact.png": ("choose", "corners.png", "--sheet", "contact.png"),
    "picks.pdf": ("run", "picklist", "run.toml", "--out", "picks.pdf"),
    "labels.pdf": ("run", "labels", "run.toml", "--out", "labels.pdf"),
    "cards.txt": ("run", "instructions", "run.toml", "--out", "cards.txt"),
    "own.icc": ("profile", "build", "7K3M9QPA", "--out", "own.icc"),
}


def call(at: Path, *words: str) -> int:
    return main(["--bench", str(at / "bench"), *words])


@pytest.mark.parametrize("name", [*WRITING, *AT_ONCE])
def test_what_is_there_stays_there(at: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    (at / name).write_bytes(KEPT)
    before = {each.name for each in at.iterdir()}
    assert call(at, *(WRITING | AT_ONCE)[name]) == 2
    assert (at / name).read_bytes() == KEPT
    assert {each.name for each in at.iterdir()} == before
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert name in said
    assert "--force" in said


@pytest.mark.parametrize("name", WRITING)
def test_it_is_replaced_when_asked(at: Path, name: str) -> None:
    (at / name).write_bytes(KEPT)
    assert call(at, *WRITING[name], "--force") == 0
    assert (at / name).read_bytes() != KEPT


@pytest.mark.parametrize(
    "words",
    [
        ("card", "preview", "card.toml", "--out", "corners.png"),
        ("proof", "corners.png", "--profile", "space.icc", "--out", "corners.png"),
        ("choose", "corners.png", "--sheet", "corners.png"),
    ],
)
def test_what_is_read_is_never_written_over(
    at: Path, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    before = (at / "corners.png").read_bytes()
    assert call(at, *words, "--force") == 2
    assert (at / "corners.png").read_bytes() == before
    assert "one of the files to read" in capsys.readouterr().err


def test_a_card_is_never_written_over_its_own_picture(at: Path) -> None:
    (at / "corners.tif").write_bytes((at / "corners.png").read_bytes())
    (at / "card.toml").write_text(CARD.replace("corners.png", "corners.tif"), encoding="utf-8")
    before = (at / "corners.tif").read_bytes()
    assert call(at, "card", "make", "card.toml", "--out", "corners.tif", "--force") == 2
    assert (at / "corners.tif").read_bytes() == before


def test_every_command_that_writes_a_file_asks() -> None:
    # card new refuses what is there in any case, and the demo keeps to a folder of its own.
    found = set()
    for module in pkgutil.walk_packages(commands.__path__, f"{commands.__name__}."):
        if module.ispkg:
            continue
        for name, function in inspect.getmembers(importlib.import_module(module.name), inspect.isfunction):
            if function.__module__ == module.name and "out" in inspect.signature(function).parameters:
                found.add(name)
                asks = "force" in inspect.signature(function).parameters
                assert asks or name in ("new", "demo", "run_shown") or name.startswith("_"), (
                    f"{module.name}.{name}"
                )
    assert {"sheet", "make", "proof", "report", "backup", "export", "picklist", "build", "refine"} <= found
