"""A profile from whatever file a person names: the profile itself, or a picture that carries one."""

from __future__ import annotations

from pathlib import Path

import pyvips

from tackside.errors import BadImage, BadProfile
from tackside.files.image import image_in
from tackside.picture.file.open import kind_of
from tackside.profile.icc.files import PROFILE_SUFFIXES, is_profile_file, read_profile_file
from tackside.profile.icc.inspect import HEADER_SIZE
from tackside.profile.link.convert import embedded_profile


def profile_from(path: Path) -> tuple[bytes, bool]:
    """The profile's bytes, and whether they were inside a picture. Raises BadProfile, BadImage, StorageTrouble."""
    if path.suffix.lower() in PROFILE_SUFFIXES or is_profile_file(path):
        return read_profile_file(path), False
    try:
        kind = kind_of(path)
    except BadImage as error:
        raise BadProfile("profile.neither-profile-nor-picture", file=str(path)) from error
    try:
        inside = embedded_profile(image_in(path, access="sequential"))
    except pyvips.Error as error:
        raise BadImage("picture.damaged-kind", file=str(path), kind=kind) from error
    if inside is None or len(inside) < HEADER_SIZE:
        raise BadProfile("profile.none-inside", file=str(path))
    return inside, True
