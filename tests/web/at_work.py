"""Jobs run in the test itself, and a bench on which everything that jobs prepare is there."""

from __future__ import annotations

import importlib
import re
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyvips

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.profile.icc.working_space import working_space_profile
from tackside.web.jobs.engine.kinds import KINDS
from tackside.web.jobs.engine.task import Task
from tackside.workflow.practice.practise import begin_practice
from tests.web.workshop import TestClient, client_of


def run_jobs(bench: Bench) -> list[Job]:
    """Do what waits, one after the other, as a worker would; the jobs as they ended."""
    ended = []
    while (job := bench.jobs.claim("a test")) is not None:
        module, _, name = KINDS[job.kind].run.partition(":")
        with tempfile.TemporaryDirectory() as folder:
            task = Task(bench, job.asked, Path(folder), lambda share, said: None)
            try:
                bench.jobs.finish(job.id, getattr(importlib.import_module(module), name)(task))
            except TacksideError as error:
                bench.jobs.fail(job.id, error.message, error.place)
        ended.append(bench.jobs.get(job.id))
    return ended


def hues(width: int = 360, height: int = 240) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """Every hue from pale to deep, (h, w, 3)."""
    x, y = np.meshgrid(np.linspace(0, 2 * np.pi, width), np.linspace(0, 1, height))
    waves = np.stack([np.cos(x), np.cos(x - 2.1), np.cos(x + 2.1)], axis=-1) * 0.5 + 0.5
    return np.rint(255 * (waves * y[..., None] + (1 - y[..., None]) * 0.8)).astype(np.uint8)


def save_picture(path: Path) -> Path:
    pyvips.Image.new_from_array(hues()).pngsave(str(path))
    return path


def send(client: TestClient, address: str, *files: tuple[str, bytes]) -> str:
    """Drop files on a page; where it leads, or the page itself."""
    answer = client.post(address, files=[("files", each) for each in files])
    return str(answer.headers.get("location", answer.text))


def add_art(bench: Bench, name: str = "hues at noon.png") -> dict[str, str]:
    """A profile, a picture, a choice with its live proof and a gamut, all prepared; their parts of addresses."""
    client = client_of(bench)
    with tempfile.TemporaryDirectory() as folder:
        pixels = save_picture(Path(folder) / "hues.png").read_bytes()
    profile = send(client, "/profiles", ("screen.icc", working_space_profile("adobe-rgb")))
    picture = send(client, "/pictures", (name, pixels))
    choice = send(client, "/choose", (name, pixels))
    run_jobs(bench)
    proof = client.post(f"{choice}/proof", data={"number": "0", "card": ""}).headers["location"]
    card = re.search(r"card=(\w+)", proof)
    assert card is not None
    client.post("/gamut", data={"of": f"trial-{card[1]}", "against": "srgb", "picture": picture[-64:]})
    assert [job.state for job in run_jobs(bench)] == ["done", "done"]
    practice, _ = begin_practice(bench, card[1])
    return {
        "practice": practice.id,
        "profile": profile[-64:], "picture": picture[-64:], "choice": choice.removeprefix("/choices/"),
        "card_of_choice": card[1],
    }  # fmt: skip


def next_done(bench: Bench, folder: Path, work: Callable[[Task], dict[str, Any]]) -> dict[str, Any]:
    """Do the next job that waits, by ``work`` in a new ``folder`` that stays; what it gave."""
    job = bench.jobs.claim("a test")
    assert job is not None
    folder.mkdir()
    found = work(Task(bench, job.asked, folder, lambda share, said: None))
    bench.jobs.finish(job.id, found)
    return found


def until(page: Any, claim: str) -> None:
    """Wait for a claim, asked anew each time: a page that forbids evaluation would refuse to poll it itself."""
    for _ in range(300):
        if page.evaluate(claim):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"never came true: {claim}")
