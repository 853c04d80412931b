"""The profiles that the operating system holds: in which folders, and what is found there.

Sources: XDG Base Directory Specification 0.8 with the folders of the colour daemon of free desktops; the developer
documentation of macOS and of Windows on colour management (docs/sources.md, S93).
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath, PurePosixPath, PureWindowsPath

from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.inspect import Header, describe, read_header

SUFFIXES = (".icc", ".icm")
DEEPEST = 8  # folders below the first
MOST_FILES = 5000


@dataclass(frozen=True)
class FoundProfile:
    """A profile that can be read."""

    path: Path
    description: str
    header: Header


@dataclass(frozen=True)
class SkippedFile:
    """A file with a profile's name that is none, or cannot be read; ``why`` is a sentence without a full stop."""

    path: Path
    why: Message


def profile_folders(platform: str, environment: Mapping[str, str], home: PurePath) -> tuple[PurePath, ...]:
    """Where an operating system keeps profiles, the person's own folders first; they need not exist.

    ``platform`` is ``sys.platform``, ``environment`` ``os.environ``; paths are of the platform's kind.
    """
    if platform == "win32":
        return _windows(environment)
    if platform == "darwin":
        return _macos(PurePosixPath(home))
    return _free_desktop(environment, PurePosixPath(home))


def own_folder(platform: str, environment: Mapping[str, str], home: PurePath) -> PurePath | None:
    """The person's own folder, where programs find what is put into it; None where the system wants them installed."""
    return None if platform == "win32" else profile_folders(platform, environment, home)[0]


def find_profiles(folders: Sequence[Path]) -> Iterator[FoundProfile | SkippedFile]:
    """Every profile below the folders, each file once, in the order of the folders and then of names.

    Folders that are missing or closed are passed over; links to folders are not followed.
    """
    seen: set[tuple[int, int]] = set()
    for path in _candidates(folders):
        try:
            place = path.stat()
        except OSError:
            yield SkippedFile(path, Message("profile.leads-nowhere"))
            continue
        if (place.st_dev, place.st_ino) in seen:
            continue
        seen.add((place.st_dev, place.st_ino))
        if len(seen) > MOST_FILES:
            yield SkippedFile(path, Message("profile.rest-not-read", limit=MOST_FILES))
            return
        yield _look(path)


def _look(path: Path) -> FoundProfile | SkippedFile:
    try:
        profile = read_profile_file(path)
        return FoundProfile(path, describe(profile), read_header(profile))
    except TacksideError as error:
        return SkippedFile(path, error.message)


def _candidates(folders: Sequence[Path]) -> Iterator[Path]:
    for folder in folders:
        for place, inner, names in os.walk(folder):
            inner.sort()
            if len(Path(place).relative_to(folder).parts) >= DEEPEST:
                inner.clear()
            for name in sorted(names):
                if name.lower().endswith(SUFFIXES):
                    yield Path(place, name)


def _free_desktop(environment: Mapping[str, str], home: PurePosixPath) -> tuple[PurePath, ...]:
    own = _absolute(environment.get("XDG_DATA_HOME")) or home / ".local" / "share"
    listed = environment.get("XDG_DATA_DIRS") or "/usr/local/share:/usr/share"
    shared = [found for part in listed.split(":") if (found := _absolute(part)) is not None]
    return _once(
        own / "icc",
        own / "color" / "icc",
        home / ".color" / "icc",
        *(folder / "color" / "icc" for folder in shared),
        PurePosixPath("/var/lib/colord/icc"),
        PurePosixPath("/var/lib/color/icc"),
    )


def _macos(home: PurePosixPath) -> tuple[PurePath, ...]:
    roots = (home / "Library", *map(PurePosixPath, ("/Library", "/Network/Library", "/System/Library")))
    # Printer drivers keep theirs inside their own bundles.
    return _once(*(root / "ColorSync" / "Profiles" for root in roots), PurePosixPath("/Library/Printers"))


def _windows(environment: Mapping[str, str]) -> tuple[PurePath, ...]:
    known = {name.upper(): value for name, value in environment.items()}
    system = PureWindowsPath(known.get("SYSTEMROOT") or known.get("WINDIR") or "C:\\Windows")
    return (system / "System32" / "spool" / "drivers" / "color",)


def _absolute(path: str | None) -> PurePosixPath | None:
    """The specification has relative paths ignored."""
    return PurePosixPath(path) if path and path.startswith("/") else None


def _once(*folders: PurePath) -> tuple[PurePath, ...]:
    return tuple(dict.fromkeys(folders))
