"""Put a profile where the operating system looks for them, for one person, and take it away again.

Beside the profiles lies a list of what was put there, with each file's hash: nothing else is ever taken away.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tackside.errors import BadRequest, NotFound
from tackside.files.atomic import explain, sha256_of, write_atomically
from tackside.profile.icc.files import PROFILE_SUFFIXES, read_profile_file
from tackside.profile.icc.inspect import describe
from tackside.profile.icc.system import own_folder

LIST = ".tackside-installed.json"


@dataclass(frozen=True)
class InstalledProfile:
    """``is_new``: it was not there already."""

    file: Path
    description: str
    is_new: bool


@dataclass(frozen=True)
class SystemPlace:
    """The person's own folder of profiles on this system. Raises BadRequest where profiles are installed by hand."""

    folder: Path

    @classmethod
    def of(
        cls, platform: str, environment: Mapping[str, str], home: Path, file: Path | None = None
    ) -> SystemPlace:
        folder = own_folder(platform, environment, home)
        if folder is None:
            raise BadRequest("own-profile.install-by-hand", file=str(file or "FILE.icc"))
        return cls(Path(folder))


def install_profile(file: Path, place: SystemPlace, *, force: bool = False) -> InstalledProfile:
    """Copy a profile there under its own name. One that lies there by that name is replaced with ``force`` alone, and
    only where it was put there by this function.

    Raises BadProfile, BadRequest, StorageTrouble.
    """
    data = read_profile_file(file)
    name = file.name if file.suffix.lower() in PROFILE_SUFFIXES else f"{file.name}.icc"
    target, ours = place.folder / name, _listed(place)
    if target.exists():
        there = sha256_of(target)
        if there == sha256_of(file):
            return InstalledProfile(target, describe(data), is_new=False)
        if ours.get(name) != there:
            raise BadRequest("own-profile.installed-by-another", file=str(target))
        if not force:
            raise BadRequest("file.there-already", file=str(target))
    try:
        place.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, place.folder, "write") from error
    write_atomically(target, data)
    ours.pop(name, None)  # the newest stands last
    _list(place, {**ours, name: sha256_of(target)})
    return InstalledProfile(target, describe(data), is_new=True)


def take_away(place: SystemPlace, file: Path | None = None) -> Path:
    """Remove the profile that was put there last, or the one called like ``file``; where it lay.

    Raises NotFound where none was, BadRequest where it was changed since, StorageTrouble.
    """
    ours = _listed(place)
    if not ours:
        raise NotFound("own-profile.none-installed", folder=str(place.folder))
    name = file.name if file is not None else list(ours)[-1]
    if name not in ours:
        raise NotFound("own-profile.not-installed", file=name, folder=str(place.folder))
    target = place.folder / name
    if target.exists():
        if sha256_of(target) != ours[name]:
            raise BadRequest("own-profile.changed-since", file=str(target))
        try:
            target.unlink()
        except OSError as error:
            raise explain(error, target, "write") from error
    del ours[name]
    _list(place, ours)
    return target


def _listed(place: SystemPlace) -> dict[str, str]:
    """Name → SHA-256 of what was put there, the newest last; nothing where the list is gone or spoiled."""
    try:
        found = json.loads((place.folder / LIST).read_bytes())
    except (OSError, ValueError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {name: told for name, told in found.items() if isinstance(told, str) and Path(name).name == name}


def _list(place: SystemPlace, ours: dict[str, str]) -> None:
    path = place.folder / LIST
    if ours:
        write_atomically(path, json.dumps(ours, indent=1).encode())
        return
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise explain(error, path, "write") from error
