"""The job that looks at a picture before any ink, and makes smaller ones of it for the screen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pyvips

from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.picture.check.check import PictureCheck
from tackside.picture.file.open import Picture
from tackside.tasks.artifacts import place_of, preparing, tell
from tackside.web.forms.queries.picture_query import FORM, ROOM, PictureAsked
from tackside.web.jobs.engine.task import Task, plain
from tackside.web.jobs.files import lay_out
from tackside.workflow.laid_out import known_as
from tackside.workflow.pictures.check import check_pictures, place_on_card
from tackside.workflow.pictures.keep import keep_on_list
from tackside.workflow.progress import part
from tackside.workflow.sent_files import SentFile, under_their_names

SHOWN_PX, SMALL_PX = 1400, 160
CHECKED = 0.8  # of the whole job


def look(task: Task) -> dict[str, Any]:
    """Asked: ``name`` and the parts of a ``PictureAsked``. Result: its hash, and the address of what was found."""
    name = task.asked["name"]
    asked = PictureAsked(**{key: value for key, value in task.asked.items() if key != "name"})
    laid = lay_out(task, [asked.sha256], [name])
    use = place_on_card(task.bench, *asked.place, asked.distance_cm) if asked.place is not None else None
    with under_their_names(laid):
        checked = check_pictures(task.bench, [laid[0].path], use, progress=part(task.tell, 0.0, CHECKED))
        found = checked.pictures[0]
        if found.picture is None:
            raise BadImage.saying(found.findings[0].message)
        with preparing(place_of(task.cache, ROOM, asked.key)) as making:
            task.tell(CHECKED, Message("progress.reducing-picture"))
            small = _smaller(found.picture, making)
            about = {**_found(found, laid), "shown_px": small, "cards": checked.cards}
            tell(making, FORM, about)
    keep_on_list(task.bench, asked.sha256, name, found.picture)
    return {"sha256": asked.sha256, "address": asked.address}


def _smaller(picture: Picture, folder: Path) -> list[int]:
    """For the page and for lists, in sRGB; the size of the former in pixels."""
    try:
        image = picture.in_space(picture.stream(), "srgb")
        share = min(1.0, SHOWN_PX / max(picture.size_px))
        shown = (image.resize(share) if share < 1 else image).copy_memory()
        small = shown.thumbnail_image(SMALL_PX, height=SMALL_PX, size="down")
        for each, name, quality in ((shown, "shown", 88), (small, "thumbnail", 84)):
            each.jpegsave(str(folder / f"{name}.jpg"), Q=quality, subsample_mode="off", keep="none")
    except pyvips.Error as error:
        raise BadImage("picture.breaks-off", file=str(picture.path)) from error
    return [shown.width, shown.height]


def _found(found: PictureCheck, laid: Sequence[SentFile]) -> dict[str, Any]:
    picture, resolution = found.picture, found.resolution
    assert picture is not None
    return {
        "size_px": list(picture.size_px),
        "bits": picture.bits,
        "profile": plain(picture.profile_name),
        "detail": found.detail,
        "resolution": None if resolution is None else asdict(resolution),
        "findings": [
            {"severity": each.severity, "message": plain(known_as(each.message, laid))}
            for each in found.findings
        ],
    }
