"""The job that looks at a picture before any ink, and makes smaller ones of it for the screen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pyvips

from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.picture.check.check import PictureCheck, check_picture
from tackside.picture.file.kinds import MEND, kind_of
from tackside.picture.file.open import Picture
from tackside.picture.read_cards import tested_cards
from tackside.picture.use_on_panel import use_on_panel
from tackside.records.assets import PictureFile
from tackside.web.forms.queries.picture_query import FORM, ROOM, PictureAsked
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, renamed, under_their_names
from tackside.web.shell.artifacts import place_of, preparing, tell

SHOWN_PX, SMALL_PX = 1400, 160


def look(task: Task) -> dict[str, Any]:
    """Asked: ``name`` and the parts of a ``PictureAsked``. Result: its hash, and the address of what was found."""
    name = task.asked["name"]
    asked = PictureAsked(**{key: value for key, value in task.asked.items() if key != "name"})
    laid = lay_out(task, [asked.sha256])
    use = use_on_panel(task.bench, *asked.place, asked.distance_cm) if asked.place is not None else None
    with under_their_names(laid, [name]):
        task.tell(0.1, "opening the picture")
        cards = tested_cards(task.bench)
        task.tell(0.3, "looking at all of it")
        found = check_picture(laid[0], use, cards)
        if found.picture is None:
            raise BadImage(found.findings[0].message, found.findings[0].mend)
        with preparing(place_of(task.cache, ROOM, asked.key)) as making:
            task.tell(0.8, "making a smaller one for the screen")
            small = _smaller(found.picture, making)
            about = {**_found(found, laid, [name]), "shown_px": small, "cards": len(cards)}
            tell(making, FORM, about)
    note(task.bench, asked.sha256, name, found.picture)
    return {"sha256": asked.sha256, "address": asked.address}


def note(bench: Bench, sha256: str, name: str, picture: Picture) -> None:
    """Put a kept file on the list of pictures; once it stands there, it stays as it is."""
    bench.pictures.add(
        PictureFile(
            sha256=sha256, name=name, title=name, size_bytes=picture.path.stat().st_size, kind=kind_of(picture.path),
            size_px=picture.size_px,
        )
    )  # fmt: skip


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
        raise BadImage(f"{picture.path} breaks off or is damaged part of the way in", MEND) from error
    return [shown.width, shown.height]


def _found(found: PictureCheck, laid: Sequence[Path], names: Sequence[str]) -> dict[str, Any]:
    picture, resolution = found.picture, found.resolution
    assert picture is not None
    findings = [asdict(each) for each in found.findings]
    for each in findings:
        each["message"], each["mend"] = (renamed(each[key], laid, names) for key in ("message", "mend"))
    return {
        "size_px": list(picture.size_px),
        "bits": picture.bits,
        "profile": picture.profile_name,
        "detail": found.detail,
        "resolution": None if resolution is None else asdict(resolution),
        "findings": findings,
    }
