"""How much of the house one command walks through: the modules of Tackside in which a function is called.

``python -m tests.walks`` prints the walks of ``judge``, ``read`` and ``card make`` over small invented benches.
What is called while modules are imported does not count: it is paid once, and nobody follows it to read the job.
"""

from __future__ import annotations

import contextlib
import io
import json
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

HOUSE = "tackside."


@dataclass
class Walk:
    """``modules`` with a called function; ``steps``: which module called into which other."""

    modules: set[str] = field(default_factory=set)
    steps: set[tuple[str, str]] = field(default_factory=set)


@contextlib.contextmanager
def walked() -> Iterator[Walk]:
    """Follow the calls of the block, in this thread."""
    walk, importing = Walk(), 0

    def follow(frame: FrameType, event: str, _: Any) -> None:
        nonlocal importing
        if frame.f_code.co_name == "<module>":
            importing += {"call": 1, "return": -1}.get(event, 0)
            return
        if event != "call" or importing or (name := _module(frame)) is None:
            return
        walk.modules.add(name)
        caller = frame.f_back
        while caller is not None and _module(caller) is None:
            caller = caller.f_back
        before = None if caller is None else _module(caller)
        if before is not None and before != name:
            walk.steps.add((before, name))

    sys.setprofile(follow)
    try:
        yield walk
    finally:
        sys.setprofile(None)


def _module(frame: FrameType) -> str | None:
    name: str = frame.f_globals.get("__name__", "")
    return name if name.startswith(HOUSE) else None


def walk_of(bench: Path, *arguments: str | Path) -> Walk:
    """The walk of one call of the command line, which must succeed, in a process of its own: what this one has
    remembered (profiles, fonts, tables) would be left out of it."""
    called = [
        sys.executable,
        "-m",
        "tests.walks",
        "--walk",
        "--bench",
        str(bench),
        *map(str, arguments),
        "--json",
    ]
    told = json.loads(subprocess.run(called, check=True, capture_output=True, text=True).stdout)
    return Walk(set(told["modules"]), {(one, other) for one, other in told["steps"]})


def walk_here(arguments: Sequence[str]) -> None:
    """Walk the call in this process, and print the walk as JSON."""
    from tackside.cli.main import main

    with contextlib.redirect_stdout(io.StringIO()), walked() as walk:
        code = main(arguments)
    if code != 0:
        sys.exit(code)
    print(json.dumps({"modules": sorted(walk.modules), "steps": sorted(walk.steps)}))


def judge_walk(folder: Path) -> Walk:
    """A scanned trial judged beside a good print, read alike."""
    from tackside.bench.store import Bench
    from tests.bench import invented
    from tests.verdict import readings

    bench = Bench.open(folder / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    for name, black in (("7K3M9QPA", 16.0), ("2B4C6D8E", 31.0)):
        bench.trials.add(readings.trial(name=name))
        bench.readings.add(
            readings.reading(
                kind="scan", key="scanner A, 300 ppi", de00=3.0, black=black, more={"trial": name}
            )
        )
    return walk_of(folder / "bench", "judge", "2B4C6D8E", "--against", "7K3M9QPA")


def read_walk(folder: Path) -> Walk:
    """A scan of a sheet's own pixels read back."""
    from tackside.bench.store import Bench
    from tackside.sheet.render import render
    from tackside.sheet.write import write_tiff
    from tests.web.workshop import SATIN, TERN, add_trial, laid_on_glass

    bench = Bench.open(folder / "bench")
    bench.stocks.add(SATIN)
    bench.printers.add(TERN)
    trial = add_trial(bench, SATIN)
    write_tiff(trial.sheet, render(trial.sheet), folder / "sheet.tif")
    scan = laid_on_glass(folder / "sheet.tif", trial.sheet, folder / "scan.tif")
    return walk_of(folder / "bench", "read", trial.id, scan)


def card_walk(folder: Path) -> Walk:
    """A card with a picture on its front and a text on its back made as PDF, nothing amiss with it."""
    from PIL import Image

    from tackside.bench.store import Bench
    from tackside.profile.icc.working_space import working_space_profile
    from tests.card import designs

    bench = Bench.open(folder / "bench")
    bench.stocks.add(designs.stock())
    bench.printers.add(designs.printer(grid_ppi=300))
    # Finer than the grid and with a profile, as a camera's pictures are.
    picture = Image.fromarray(designs.corners(2700, 1800))
    picture.save(folder / "corners.png", icc_profile=working_space_profile("srgb"))
    (folder / "card.toml").write_text(CARD, encoding="utf-8")
    return walk_of(folder / "bench", "card", "make", folder / "card.toml", "--out", folder / "card.pdf")


CARD = """
stock = "Harbour Satin 300"
printer = "Tern 8"

[[pictures]]
panel = "front"
file = "corners.png"
border_mm = 12

[[texts]]
panel = "back"
text = "Printed by hand at the harbour"
size_pt = 9
"""
WALKS: dict[str, Callable[[Path], Walk]] = {"judge": judge_walk, "read": read_walk, "card make": card_walk}


def main(asked: Sequence[str]) -> None:
    if asked[:1] == ["--walk"]:
        walk_here(asked[1:])
        return
    for command, walk_it in WALKS.items():
        with tempfile.TemporaryDirectory() as place:
            found = walk_it(Path(place))
        print(f"{command}: {len(found.modules)} modules, {len(found.steps)} steps from one to another")
        if "-v" in asked:
            print("\n".join(f"  {name}" for name in sorted(found.modules)))


if __name__ == "__main__":
    main(sys.argv[1:])
