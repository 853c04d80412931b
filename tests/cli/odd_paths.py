"""Paths that are no file that can be read, every place where a command takes one, and a bench to try them on."""

from __future__ import annotations

import contextlib
import io
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import typing
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import numpy as np
import pyvips
from cyclopts import App

from tackside.bench.store import Bench
from tackside.cli.main import app, main
from tackside.press.printer.stock_model import matt_coated
from tests.bench import invented
from tests.cli.bench_of_examples import SATIN, TERN
from tests.profile.card_profiles import press_profile
from tests.run.files import CARD, RUN
from tests.verdict import readings

TRIAL = "2B4C6D8E"
SECONDS = 10  # of processor time
_NOT_BACK = "not back in time: "
WAITED = 120  # by the clock; no more than a guard against one that never comes back
# What stands for the odd path in a call.
ODD = "@"
_NAMES = ("--stock", "Harbour Satin 300", "--printer", "Tern 8")
_PEN = ("Harbour Satin 300", "Tern 8")
# (command, what takes the path) → the call. One path is @, all others are sound.
CALLS: dict[tuple[str, str], tuple[str, ...]] = {
    ("demo", "--out"): ("demo", "--out", ODD),
    ("start", "--watch"): ("start", "--no-browser", "--watch", ODD),
    ("stock add", "FILE"): ("stock", "add", ODD),
    ("stock export", "--out"): ("stock", "export", "Harbour Satin 300", "--out", ODD),
    ("stock import", "--file"): ("stock", "import", ODD),
    ("printer add", "FILE"): ("printer", "add", ODD),
    ("sheet", "--out"): ("sheet", *_PEN, "--out", ODD),
    ("sheet", "--picture"): ("sheet", *_PEN, "--out", "new.tif", "--picture", ODD),
    ("sheet", "--profile"): ("sheet", *_PEN, "--out", "new.tif", "--profile", ODD),
    ("practice print", "--out"): ("practice", "print", TRIAL, "--out", ODD),
    ("read", "FILE"): ("read", TRIAL, ODD),
    ("read", "--spoilt-picture"): ("read", TRIAL, "sea.png", "--spoilt-picture", ODD),
    ("answer", "FILE"): ("answer", TRIAL, ODD),
    ("scanner learn", "--scan"): ("scanner", "learn", "Desk", TRIAL, "--scan", ODD, "--data", "chart.txt"),
    ("scanner learn", "--data"): ("scanner", "learn", "Desk", TRIAL, "--scan", "sea.png", "--data", ODD),
    ("scanner target", "--scan"): ("scanner", "target", "Desk", "--scan", ODD, "--data", "chart.txt"),
    ("scanner target", "--data"): ("scanner", "target", "Desk", "--scan", "sea.png", "--data", ODD),
    ("scanner sharpness", "--scan"): ("scanner", "sharpness", "Desk", ODD),
    ("scanner check", "--scan"): ("scanner", "check", "Desk", TRIAL, ODD),
    ("judge", "--data"): ("judge", "--data", ODD),
    ("judge", "--profile"): ("judge", TRIAL, "--profile", ODD),
    ("picture check", "FILE"): ("picture", "check", ODD),
    ("proof", "--picture"): ("proof", ODD, "--profile", "card.icc", "--out", "new.png"),
    ("proof", "--profile"): ("proof", "sea.png", "--profile", ODD, "--out", "new.png"),
    ("proof", "--out"): ("proof", "sea.png", "--profile", "card.icc", "--out", ODD),
    ("proof", "--maps"): ("proof", "sea.png", "--profile", "card.icc", "--out", "new.png", "--maps", ODD),
    ("choose", "PICTURE"): ("choose", ODD, "--profiles", "card.icc"),
    ("choose", "--profiles"): ("choose", "sea.png", "--profiles", ODD),
    ("choose", "--sheet"): ("choose", "sea.png", "--profiles", "card.icc", "--sheet", ODD),
    ("gamut", "--device"): ("gamut", ODD),
    ("gamut", "--against"): ("gamut", "card.icc", "--against", ODD),
    ("gamut", "--picture"): ("gamut", "card.icc", "--picture", ODD),
    ("card preview", "--file"): ("card", "preview", ODD, "--out", "new.png"),
    ("card preview", "--out"): ("card", "preview", "boats.toml", "--out", ODD),
    ("card preview", "--csv"): ("card", "preview", "boats.toml", "--out", "new.png", "--csv", ODD),
    ("card second-side", "--out"): ("card", "second-side", "Tern 8", "--out", ODD),
    ("card send", "--file"): ("card", "send", ODD, "--to", "ipp://127.0.0.1:9/ipp/print", "--sheets", "1"),
    ("card make", "--file"): ("card", "make", ODD, "--out", "new.pdf"),
    ("card make", "--out"): ("card", "make", "boats.toml", "--out", ODD),
    ("card make", "--csv"): ("card", "make", "boats.toml", "--out", "new.pdf", "--csv", ODD),
    ("card make", "--profile"): ("card", "make", "boats.toml", "--out", "new.pdf", "--profile", ODD),
    ("card new", "--out"): ("card", "new", "mount", *_NAMES, "--out", ODD),
    ("profile show", "--file"): ("profile", "show", ODD),
    ("profile show", "--page"): ("profile", "show", "card.icc", "--page", ODD),
    ("profile list", "--folder"): ("profile", "list", "--folder", ODD),
    ("profile build", "--data"): ("profile", "build", "--data", ODD, "--out", "new.icc"),
    ("profile build", "--out"): ("profile", "build", "--data", "chart.txt", "--out", ODD),
    ("profile refine", "--out"): ("profile", "refine", TRIAL, "--out", ODD),
    ("profile install", "FILE"): ("profile", "install", ODD),
    ("profile match", "NAMED"): ("profile", "match", "--data", "chart.txt", ODD),
    ("profile match", "--data"): ("profile", "match", "card.icc", "--data", ODD),
    ("run picklist", "--file"): ("run", "picklist", ODD, "--out", "new.pdf"),
    ("run picklist", "--out"): ("run", "picklist", "run.toml", "--out", ODD),
    ("run labels", "--file"): ("run", "labels", ODD, "--out", "new.pdf"),
    ("run labels", "--out"): ("run", "labels", "run.toml", "--out", ODD),
    ("run instructions", "--file"): ("run", "instructions", ODD),
    ("run instructions", "--out"): ("run", "instructions", "run.toml", "--out", ODD),
    ("run cost", "--file"): ("run", "cost", ODD),
    ("run keep", "--file"): ("run", "keep", ODD),
    ("bench backup", "--out"): ("bench", "backup", ODD),
    ("bench restore", "--file"): ("bench", "restore", ODD),
    ("bench repair", "--into"): ("bench", "repair", ODD),
    ("bench move", "--source"): ("bench", "move", ODD, "new-bench"),
    ("bench move", "--target"): ("bench", "move", "bench", ODD),
    ("report", "--out"): ("report", TRIAL, "--out", ODD),
    ("report", "--catalogue"): ("report", "--catalogue", ODD),
    # Where the records lie, with a command that reads them and with one that writes.
    ("", "--bench"): ("--bench", ODD, "stock", "list"),
    ("stock add", "--bench"): ("--bench", ODD, "stock", "add", "stock.toml"),
}  # fmt: skip
# Words that name a file or a folder although they are not said to be paths: a name or an address may stand there too.
WORDS = {
    ("read", "FILE"), ("sheet", "--profile"), ("gamut", "--device"), ("gamut", "--against"),
    ("bench repair", "--into"), ("bench move", "--source"), ("bench move", "--target"),
    ("", "--bench"), ("stock add", "--bench"),
}  # fmt: skip


# Where a server would start, a whole demo be made or a sheet be printed, as the path is as good as any.
SOUND_OUTPUTS = {
    ("practice print", "--out"): ("dangling",),
    ("start", "--watch"): ("folder", "root", "nothing"),
    ("demo", "--out"): ("folder", "nothing", "undecodable, not there"),
}


# What is written there, or made a bench, is a folder as good as any where one may write to the root of the disk.
_WRITTEN = {
    "--out", "--maps", "--page", "--sheet", "--spoilt-picture", "--catalogue", "--into", "--target", "--bench",
}  # fmt: skip


def places_and_paths(odd: Iterable[str]) -> list[tuple[tuple[str, str], str]]:
    """Every place with every odd path that it can be given."""
    return [
        (place, name)
        for place in CALLS
        for name in odd
        if name not in SOUND_OUTPUTS.get(place, ()) and not (name == "root" and place[1] in _WRITTEN)
    ]


def taken() -> set[tuple[str, str]]:
    """Every place of the command tree that takes a path by its kind, as (command, name)."""
    return {
        (" ".join(words), argument.name)
        for words, command in _commands(app)
        for argument in command.assemble_argument_collection()
        if _is_path(argument.hint)
    }


def _commands(inner: App, before: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], App]]:
    for name in inner:
        if not name.startswith("-"):
            yield from _commands(inner[name], (*before, name))
    if before and inner.default_command is not None:
        yield before, inner


def _is_path(hint: object) -> bool:
    return hint is Path or any(map(_is_path, typing.get_args(hint)))


def odd_paths(folder: Path) -> dict[str, str]:
    """What a path may be other than a file, by its name; those that must lie on the disk are made in ``folder``."""
    folder.mkdir()
    os.mkfifo(folder / "pipe.tif")
    (folder / "folder.tif").mkdir()
    (folder / "dangling.tif").symlink_to(folder / "gone.tif")
    (folder / "loop.tif").symlink_to(folder / "loop.tif")
    (folder / "zero.tif").symlink_to("/dev/zero")
    (folder / "empty.tif").write_bytes(b"")
    (folder / "plain.txt").write_bytes(b"a word\n")
    odd = {
        "pipe": str(folder / "pipe.tif"),
        "zero": "/dev/zero",
        "null": "/dev/null",
        "full": "/dev/full",
        "link to a device": str(folder / "zero.tif"),
        "folder": str(folder / "folder.tif"),
        "root": "/",
        "long": str(folder / ("n" * 300 + ".tif")),
        "long folder": str(folder / ("n" * 300) / "a.tif"),
        "very long": str(folder / "/".join(["n" * 200] * 30)),
        "nul": str(folder / "a\0b.tif"),
        "undecodable, not there": os.fsdecode(os.fsencode(folder) + b"/\xff\xfe.tif"),
        "undecodable": os.fsdecode(os.fsencode(folder) + b"/\xe4.tif"),
        "dangling": str(folder / "dangling.tif"),
        "loop": str(folder / "loop.tif"),
        "through a file": str(folder / "plain.txt" / "a.tif"),
        "empty": str(folder / "empty.tif"),
        "nothing": "",
    }
    Path(odd["undecodable"]).write_bytes(b"a word\n")
    if os.geteuid():
        closed = folder / "closed.tif"
        closed.write_bytes(b"a word\n")
        closed.chmod(0)
        odd["closed"] = str(closed)
    return odd


def furnish(folder: Path) -> None:
    """A bench with a stock, a printer, a trial and its reading, and sound files beside it."""
    bench = Bench.open(folder / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(readings.trial(name=TRIAL).model_copy(update={"stock": "Harbour Satin 300"}))
    bench.readings.add(readings.reading(black=31.0, chroma=0.5, more={"trial": TRIAL}))
    pixels = np.random.default_rng(3).integers(0, 255, (240, 320, 3), dtype=np.uint8)
    image = pyvips.Image.new_from_array(pixels).copy(interpretation="srgb")
    for name in ("sea.png", "coffee.png"):
        image.write_to_file(str(folder / name))
    (folder / "card.icc").write_bytes(press_profile(matt_coated()))
    (folder / "chart.txt").write_text(_chart(), encoding="utf-8")
    (folder / "boats.toml").write_text(CARD, encoding="utf-8")
    (folder / "run.toml").write_text(RUN.replace("quantity = 40", "quantity = 2"), encoding="utf-8")
    (folder / "rows.csv").write_text("name\nAnn\n", encoding="utf-8")
    shutil.copy(SATIN, folder / "stock.toml")
    shutil.copy(TERN, folder / "printer.toml")


def _chart() -> str:
    patches = readings.reading().patches
    rows = "\n".join(
        f"{patch.name} " + " ".join(f"{255 * each:.4f}" for each in patch.rgb or ()) + " 50.0 1.5 -2.5"
        for patch in patches
    )
    fields = "SAMPLE_NAME RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B"
    return (
        f"CGATS.17\nNUMBER_OF_FIELDS 7\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS {len(patches)}\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )


class TooLong(BaseException):
    """A call that did not come back."""


@dataclass(frozen=True)
class Told:
    """What became of a call. ``seconds``: of processor time. ``trace``: of what no command may let through, empty where
    it did not."""

    code: int
    out: str
    err: str
    seconds: float
    grown_mb: float
    trace: str

    @property
    def is_late(self) -> bool:
        """Whether it did not come back, or took longer than any may."""
        return self.trace.startswith(_NOT_BACK) or self.seconds > SECONDS

    def fault(self) -> str | None:
        """What is wrong with how it ended; None where it did its work, or said in one line why it can't."""
        if self.trace:
            return self.trace
        lines = [line for line in self.err.splitlines() if not line.startswith("tackside: note: ")]
        if self.code == 0:
            return None
        if self.code != 2:
            return f"exit code {self.code}: {self.err}"
        if len(lines) != 1 or not lines[0].startswith("tackside: ") or self.out:
            return f"not one line: {self.err!r} {self.out[:200]!r}"
        if ";" not in lines[0] or "memory" in lines[0]:
            return f"no fix: {lines[0]}"
        return None


@contextlib.contextmanager
def within(seconds: float) -> Iterator[None]:
    """The block is stopped where it takes more processor time, or waits for what never comes.

    A pipe that nobody writes into is waited for without end and costs no processor time. Neither
    does a disk that others keep busy, which had one file wait for more than ten seconds: waiting has
    ``WAITED`` seconds.
    """

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise TooLong

    timers = ((signal.ITIMER_PROF, signal.SIGPROF, seconds), (signal.ITIMER_REAL, signal.SIGALRM, WAITED))
    before = [(number, signal.signal(number, stop)) for _, number, _ in timers]
    for timer, _, most in timers:
        signal.setitimer(timer, most, 0.5)
    try:
        yield
    finally:
        for timer, _, _ in timers:
            signal.setitimer(timer, 0)
        for number, handler in before:
            signal.signal(number, handler)


def call(words: tuple[str, ...], do: Callable[[list[str]], int] = main) -> Told:
    """One call of the command line in this process, whatever comes of it."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    began, trace, code = time.process_time(), "", -1
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with tempfile.TemporaryDirectory() as details, _streams(out, err), _own_traces(details):
        try:
            with within(SECONDS):
                code = do(list(words))
        except TooLong:
            trace = _NOT_BACK + traceback.format_exc()[-1500:]
        except BaseException:  # noqa: BLE001  whatever comes through is told
            trace = traceback.format_exc()
        if code == 70:
            trace = "\n".join(
                each.read_text("utf-8", "replace") for each in Path(details).glob("tackside-*.txt")
            )
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    said, refused = (each.buffer.getvalue().decode("utf-8", "replace") for each in (out, err))  # type: ignore[attr-defined]
    return Told(code, said, refused, time.process_time() - began, grown, trace)


@contextlib.contextmanager
def _streams(out: io.TextIOWrapper, err: io.TextIOWrapper) -> Iterator[None]:
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = out, err
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before


@contextlib.contextmanager
def _own_traces(folder: str) -> Iterator[None]:
    """Where the program keeps the details of a fault of its own."""
    before = tempfile.tempdir
    tempfile.tempdir = folder
    try:
        yield
    finally:
        tempfile.tempdir = before
