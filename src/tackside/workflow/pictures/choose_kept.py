"""Choose a card for pictures that the bench keeps; their small proofs are kept as well, to be seen again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyvips

from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.files.atomic import explain
from tackside.messages.message import Message
from tackside.picture.choose.candidates import WantedCard
from tackside.picture.choose.choose import PictureChoice
from tackside.picture.choose.contact_sheet import ProofRow
from tackside.picture.file.open import open_picture
from tackside.workflow.laid_out import lay_out
from tackside.workflow.pictures.choose import WEIGHED, CardChoice, choose, proofs_of
from tackside.workflow.pictures.keep import keep_on_list
from tackside.workflow.progress import Progress, part, unheard
from tackside.workflow.sent_files import SentFile, under_their_names


@dataclass(frozen=True)
class ChosenPicture:
    """A picture with what was chosen for it. ``shown`` are kept JPEGs of ``size`` in pixels: the picture itself, then
    its proofs on the best cards; none beyond the first dozen pictures."""

    sha256: str
    file: SentFile
    choice: PictureChoice
    shown: tuple[str, ...] = ()
    size: tuple[int, int] | None = None


def choose_kept(
    bench: Bench,
    sha256s: Sequence[str],
    names: Sequence[str],
    wanted: WantedCard,
    folder: Path,
    progress: Progress = unheard,
) -> tuple[CardChoice, tuple[ChosenPicture, ...]]:
    """As ``choose``, of kept files by the names that they came by, worked at in an empty ``folder``."""
    laid = lay_out(bench, folder, sha256s, names)
    with under_their_names(laid):
        chosen = choose(bench, [each.path for each in laid], wanted, progress=part(progress, 0.0, WEIGHED))
        progress(WEIGHED, Message("progress.drawing-proofs"))
        rows = iter(proofs_of(chosen).rows)
        pictures = tuple(
            _with_proofs(bench, folder, number, ChosenPicture(sha256, file, each), rows)
            for number, (sha256, file, each) in enumerate(
                zip(sha256s, laid, chosen.choice.pictures, strict=True)
            )
        )
    return chosen, pictures


def _with_proofs(
    bench: Bench, folder: Path, number: int, picture: ChosenPicture, rows: Iterator[ProofRow]
) -> ChosenPicture:
    """The picture on the list of pictures, and its proofs kept, where it could be opened."""
    if picture.choice.fault is not None:
        return picture
    keep_on_list(bench, picture.sha256, picture.file.name, open_picture(picture.file.path))
    row = next(rows, None)
    if row is None:
        return picture
    images = [row.picture, *row.proofs]
    shown = tuple(_kept(bench, folder, each, f"choice-{number}-{n}.jpg") for n, each in enumerate(images))
    return ChosenPicture(
        picture.sha256, picture.file, picture.choice, shown, (images[0].shape[1], images[0].shape[0])
    )


def _kept(bench: Bench, folder: Path, pixels: np.ndarray[Any, np.dtype[np.uint8]], name: str) -> str:
    path = folder / name
    try:
        pyvips.Image.new_from_array(np.ascontiguousarray(pixels)).jpegsave(
            str(path), Q=90, subsample_mode="off", keep="none"
        )
    except pyvips.Error as error:
        raise BadImage("choosing.proof-not-written") from error
    except OSError as error:
        raise explain(error, path, "write") from error
    return bench.keep_file(path, name)
