"""A picture of one's own on a test sheet: kept on the bench, and made ready for its place."""

from __future__ import annotations

import numpy as np
import pyvips

from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.picture.file.open import kind_of, open_picture
from tackside.records import SheetPlan
from tackside.records.trial import OwnPicture
from tackside.sheet.blocks.scene import is_own
from tackside.sheet.canvas import Grid, Image
from tackside.workflow.sent_files import SentFile, under_their_names


def keep_own(bench: Bench, file: SentFile) -> OwnPicture:
    """The picture, opened with suspicion and kept. Raises BadImage, StorageTrouble."""
    with under_their_names([file]):
        open_picture(file.path)
        return OwnPicture(name=file.name, sha256=bench.keep_file(file.path, file.name))


def own_pixels(bench: Bench, own: OwnPicture | None, plan: SheetPlan) -> Image | None:
    """The picture whole, as large as its place on the sheet bears: (h, w, 3) bytes in the sheet's space.

    Its embedded profile says its colours; without one they are taken for sRGB. A sheet of bare numbers gets those of
    sRGB. None where the sheet has none. Raises NotFound, BadImage.
    """
    place = next((target.box_mm for target in plan.targets if is_own(target)), None)
    if own is None or place is None:
        return None
    left, top, right, bottom = Grid(plan.ppi).box_dots(place)
    file = SentFile(bench.file(own.sha256), own.name, is_kept=True)
    with under_their_names([file]):
        picture = open_picture(file.path)
        try:
            shown = picture.in_space(picture.stream(), plan.space or "srgb")
            scale = min((right - left) / shown.width, (bottom - top) / shown.height)
            return np.ascontiguousarray(_in_bytes(shown.resize(scale)).numpy(), dtype=np.uint8)
        except pyvips.Error as error:
            raise BadImage("picture.damaged-kind", file=str(file.path), kind=kind_of(file.path)) from error


def _in_bytes(image: pyvips.Image) -> pyvips.Image:
    return image.msb() if image.format == "ushort" else image.cast("uchar")
