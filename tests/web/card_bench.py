"""A card of the invented bench: a picture on its front, words inside, its files made."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.card.file.design import CardCredit, CardParts, CardPicture, CardText
from tackside.web.jobs.cards import card_files, card_font, card_list, card_picture
from tackside.web.jobs.engine.kinds import KINDS
from tackside.web.jobs.engine.task import Task
from tackside.workflow.cards.kept import images_of, kept_card

NAME = "Boats"
WIDE, TALL = 900, 600
RED, GREEN, BLUE, YELLOW = (200, 30, 30), (30, 160, 40), (40, 50, 190), (230, 210, 40)


def quarters() -> NDArray[np.uint8]:
    """Red and green above, blue and yellow below: where each falls tells how the picture lies."""
    pixels = np.zeros((TALL, WIDE, 3), np.uint8)
    pixels[: TALL // 2, : WIDE // 2], pixels[: TALL // 2, WIDE // 2 :] = RED, GREEN
    pixels[TALL // 2 :, : WIDE // 2], pixels[TALL // 2 :, WIDE // 2 :] = BLUE, YELLOW
    return pixels


def write_picture(folder: Path, name: str = "boats at noon.png", *, turned: bool = False) -> Path:
    path = folder / name
    pixels = np.ascontiguousarray(quarters()[::-1]) if turned else quarters()
    pyvips.Image.new_from_array(pixels).copy(interpretation="srgb").pngsave(str(path))
    return path


def done(bench: Bench, kind: str, asked: dict[str, Any]) -> Job:
    """A job of a card asked for and done at once, here."""
    job = bench.jobs.add(kind, asked, subject=asked["card"])
    return finished(bench, job)


def finished(bench: Bench, job: Job) -> Job:
    """A job that waits, done at once, here."""
    run = {
        "card-picture": card_picture.look, "card-files": card_files.make, "card-list": card_list.make,
        "card-font": card_font.look,
    }[job.kind]  # fmt: skip
    assert KINDS[job.kind].run.endswith(f":{run.__name__}")
    assert bench.jobs.claim("a test") is not None
    with tempfile.TemporaryDirectory() as folder:
        bench.jobs.finish(job.id, run(Task(bench, job.asked, Path(folder), lambda share, said: None)))
    return bench.jobs.get(job.id)


def dropped(bench: Bench, card: str, picture: Path) -> str:
    """A picture dropped on a card and looked at; its SHA-256."""
    sha256 = bench.keep_file(picture, picture.name)
    done(bench, "card-picture", {"card": card, "panel": "front", "sha256": sha256, "name": picture.name})
    return sha256


def add_card(bench: Bench, stock: str, printer: str, name: str = NAME) -> None:
    """Revision 1 is empty, revision 2 has its picture and words; a PDF was made of it."""
    empty = CardParts(stock=stock, printer=printer)
    bench.cards.add(kept_card(name, empty, ()))
    with tempfile.TemporaryDirectory() as folder:
        dropped(bench, name, write_picture(Path(folder)))
    images = images_of(bench, bench.cards.get(name))
    parts = empty.model_copy(
        update={
            "pictures": (CardPicture(panel="front", file=images[0].name),),
            "texts": (
                CardText(panel="inside-right", text="With love\nfrom the harbour", face="serif", size_pt=14),
            ),
            "credit": CardCredit(text="Printed by hand"),
        }
    )
    bench.cards.add(kept_card(name, parts, images))
    done(bench, "card-files", {"card": name, "revision": 2, "kinds": ["pdf"], "corrected": True})
