"""Keep pictures and profiles on the bench's lists of them."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import BadProfile
from tackside.files.atomic import write_atomically
from tackside.picture.file.open import Picture, kind_of
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.inspect import describe, read_header
from tackside.records.assets import PictureFile, ProfileFile, ProfileOrigin
from tackside.workflow.sent_files import SentFile, under_their_names


def keep_on_list(bench: Bench, sha256: str, name: str, picture: Picture) -> None:
    """Put a kept file on the list of pictures; once it stands there, it stays as it is."""
    bench.pictures.add(
        PictureFile(
            sha256=sha256,
            name=name,
            title=name,
            size_bytes=picture.path.stat().st_size,
            kind=kind_of(picture.path),
            size_px=picture.size_px,
        )
    )


def keep_sent(bench: Bench, file: SentFile) -> str:
    """Keep a picture's file, by its first bytes one; the SHA-256. Raises BadImage, StorageTrouble."""
    with under_their_names([file]):
        kind_of(file.path)
        return bench.keep_file(file.path, file.name)


def keep_profile_data(
    bench: Bench, data: bytes, name: str, origin: ProfileOrigin | None = None
) -> ProfileFile:
    """As ``keep_profile``, of bytes."""
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        file = Path(folder) / "profile.icc"
        write_atomically(file, data)
        return keep_profile(bench, file, name, origin)


def keep_profile(bench: Bench, file: Path, name: str, origin: ProfileOrigin | None = None) -> ProfileFile:
    """Keep a profile's file, and note it by what it says of itself; ``origin`` where it was built here.

    Raises BadProfile, StorageTrouble.
    """
    data = read_profile_file(file)
    header = read_header(data)
    try:
        title = describe(data)
    except BadProfile:  # its description points nowhere, which its page tells among the faults
        title = name
    return bench.profiles.add(
        ProfileFile(
            sha256=bench.keep_file(file, name),
            name=name,
            title=title,
            size_bytes=len(data),
            kind=header.profile_class,
            colour_space=header.colour_space,
            origin=origin,
        )
    )
