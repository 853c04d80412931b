"""libvips given an opened file in place of a name: what it decodes is the plain file that was looked at.

libvips takes a name of its own kind: it reads options in brackets at its end, wants it in UTF-8, and opens whatever
lies there.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyvips

from tackside.files.outside import PICTURE, Intake
from tackside.files.unpacked import require_room

# What a picture may take unpacked where it has to be held whole: with what is worked out from it, a command stays
# under 1 GB. 200 million pixels of 8 bits in three channels.
MOST_HELD_BYTES = 600_000_000
# Pictures are opened once for each use; libvips' cache of operations only kept a decoder, with all that it holds, for
# one that never came.
pyvips.cache_set_max(0)


def image_in(path: Path, kind: Intake = PICTURE, **options: Any) -> pyvips.Image:
    """The image in a file, its header read; ``options`` are those of libvips' ``new_from_file``.

    Raises pyvips.Error for a damaged file, BadImage for one that takes too much memory to unpack, and what ``kind``
    raises.
    """
    image = pyvips.Image.new_from_source(_source(path, kind), "", **options)
    require_room(image, path)
    return image


def thumbnail_in(
    path: Path, width_px: int, kind: Intake = PICTURE, *, fail_on: str = "", **options: Any
) -> pyvips.Image:
    """``pyvips.Image.thumbnail`` of a file. Raises as ``image_in``."""
    image_in(path, kind, access="sequential")
    # Of an opened file libvips 8.18 does not hand ``fail_on`` on to its decoder, which then draws what is missing.
    to_decoder = f"[fail_on={fail_on}]" if fail_on else ""
    return pyvips.Image.thumbnail_source(_source(path, kind), width_px, option_string=to_decoder, **options)


def _source(path: Path, kind: Intake) -> pyvips.Source:
    with kind.open(path) as stream:
        return pyvips.Source.new_from_descriptor(stream.fileno())  # which it duplicates
