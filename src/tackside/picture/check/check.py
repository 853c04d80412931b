"""The check of a picture before any ink: every finding says what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.errors import BadImage
from tackside.picture.check.clipping import on_clipping
from tackside.picture.check.file_findings import on_file, on_refusal, on_transparency
from tackside.picture.check.finding import PictureFinding, worst_first
from tackside.picture.check.resolution import (
    PrintResolution,
    Use,
    detail_share,
    on_detail,
    on_resolution,
    resolution_in,
)
from tackside.picture.check.survey import Survey, survey
from tackside.picture.file.open import Picture, open_picture
from tackside.picture.proof.tested_cards import ReadCard, on_tested_cards


@dataclass(frozen=True)
class PictureCheck:
    """What was found. ``picture`` and ``survey`` are None where the file would not open or broke off.

    ``resolution`` is that in the place asked for, None without one; ``detail`` is the share of its own resolution
    that the picture fills (0 to 1). ``findings`` come worst first.
    """

    path: Path
    picture: Picture | None
    survey: Survey | None
    resolution: PrintResolution | None
    detail: float | None
    findings: tuple[PictureFinding, ...]


def check_picture(path: Path | str, use: Use | None = None, cards: Sequence[ReadCard] = ()) -> PictureCheck:
    """Look at one picture, for a place on a card and for the cards tested, where they are given.

    A file that is no sound picture comes back with a finding of severity ``stop``; nothing is raised for it.
    """
    path = Path(path)
    try:
        picture = open_picture(path)
        seen = survey(path)
    except BadImage as error:
        return PictureCheck(path, None, None, None, None, (on_refusal(error),))
    findings = [
        *on_file(picture),
        *on_transparency(seen.transparent),
        *on_detail(seen.detail, picture.size_px),
        *on_clipping("highlights", seen.highlights),
        *on_clipping("shadows", seen.shadows),
    ]
    if use is not None:
        findings += on_resolution(picture.size_px, seen.detail, use)
    if cards:
        findings += on_tested_cards(path, cards)
    return PictureCheck(
        path=path,
        picture=picture,
        survey=seen,
        resolution=None if use is None else resolution_in(picture.size_px, use),
        detail=detail_share(seen.detail),
        findings=worst_first(findings),
    )
