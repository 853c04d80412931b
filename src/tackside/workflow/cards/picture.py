"""A picture for a card as the bench keeps it: the file, a smaller one for the screen, and a small one to choose by."""

from __future__ import annotations

import re
from pathlib import Path

import pyvips

from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.picture.file.open import open_picture
from tackside.records.card import CardImage
from tackside.workflow.laid_out import known_as, lay_out
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.sent_files import under_their_names

SHOWN_PX, SMALL_PX = 1800, 220


def look_at(bench: Bench, sha256: str, name: str, folder: Path, *, progress: Progress = unheard) -> CardImage:
    """A kept file, called ``name`` by the person, looked at and made smaller in an empty ``folder``.

    Raises NotFound, BadImage, StorageTrouble.
    """
    called = plain_file_name(name)
    laid = lay_out(bench, folder, [sha256], [called])
    with under_their_names(laid):
        progress(0.05, Message("progress.opening-picture"))
        picture = open_picture(laid[0].path)
        try:
            whole = picture.in_space(picture.stream(), "srgb")
            share = min(1.0, SHOWN_PX / max(picture.size_px))
            progress(0.1, Message("progress.reducing-picture"))
            shown = (whole.resize(share) if share < 1 else whole).copy_memory()
            small = shown.thumbnail_image(SMALL_PX, height=SMALL_PX, size="down")
            kept = [_kept(bench, folder, image, each) for image, each in ((shown, "shown"), (small, "small"))]
        except pyvips.Error as error:
            raise BadImage("picture.breaks-off", file=str(laid[0].path)) from error
    return CardImage(
        name=called, sha256=sha256, shown_sha256=kept[0], small_sha256=kept[1], size_px=picture.size_px,
        warnings=tuple(known_as(each, laid) for each in picture.warnings),
    )  # fmt: skip


def plain_file_name(name: str) -> str:
    """A name that any disk takes, as the card file is to lie beside it."""
    plain = re.sub(r'[\\/:*?"<>|\x00-\x1f\x7f]', "-", name).strip(" .")
    return plain[-100:] or "picture"


def _kept(bench: Bench, folder: Path, image: pyvips.Image, name: str) -> str:
    path = folder / f"{name}.jpg"
    image.jpegsave(str(path), Q=88, subsample_mode="off", keep="none")
    return bench.keep_file(path, f"card-{name}.jpg")
