"""The job that looks at a picture dropped on a card: what it is, and a smaller one of it for the screen."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pyvips

from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.picture.file.open import open_picture
from tackside.records.card import CardImage
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out
from tackside.workflow.laid_out import known_as
from tackside.workflow.sent_files import under_their_names

SHOWN_PX, SMALL_PX = 1800, 220


def look(task: Task) -> dict[str, Any]:
    """Asked: ``card``, ``panel``, ``sha256`` and ``name``. Result: the picture as the card keeps it."""
    asked = task.asked
    name = plain_file_name(asked["name"])
    laid = lay_out(task, [asked["sha256"]], [name])
    with under_their_names(laid):
        task.tell(0.05, Message("progress.opening-picture"))
        picture = open_picture(laid[0].path)
        try:
            whole = picture.in_space(picture.stream(), "srgb")
            share = min(1.0, SHOWN_PX / max(picture.size_px))
            task.tell(0.1, Message("progress.reducing-picture"))
            shown = (whole.resize(share) if share < 1 else whole).copy_memory()
            small = shown.thumbnail_image(SMALL_PX, height=SMALL_PX, size="down")
            kept = [_kept(task, image, each) for image, each in ((shown, "shown"), (small, "small"))]
        except pyvips.Error as error:
            raise BadImage("picture.breaks-off", file=str(laid[0].path)) from error
    image = CardImage(
        name=name, sha256=asked["sha256"], shown_sha256=kept[0], small_sha256=kept[1], size_px=picture.size_px,
        warnings=tuple(known_as(each, laid) for each in picture.warnings),
    )  # fmt: skip
    return {"card": asked["card"], "panel": asked["panel"], "image": image.model_dump(mode="json")}


def plain_file_name(name: str) -> str:
    """A name that any disk takes, as the card file is to lie beside it."""
    plain = re.sub(r'[\\/:*?"<>|\x00-\x1f\x7f]', "-", name).strip(" .")
    return plain[-100:] or "picture"


def _kept(task: Task, image: pyvips.Image, name: str) -> str:
    path: Path = task.folder / f"{name}.jpg"
    image.jpegsave(str(path), Q=88, subsample_mode="off", keep="none")
    return task.bench.keep_file(path, f"card-{name}.jpg")
