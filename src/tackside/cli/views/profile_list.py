"""What ``tackside profile list`` shows: the system's profiles, and those of a folder."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.errors import NotFound
from tackside.profile.icc.system import FoundProfile, Skipped, find_profiles, profile_folders


def list_profiles(folder: Path | None) -> Outcome:
    """The profiles below ``folder`` first, then the system's. Raises NotFound where ``folder`` is none."""
    if folder is not None and not folder.is_dir():
        raise NotFound(f"there is no folder {folder}", "name a folder that holds profiles, or none")
    system = map(Path, profile_folders(sys.platform, os.environ, Path.home()))
    folders = [*([] if folder is None else [folder]), *system]
    everything = list(find_profiles(folders))
    found = [each for each in everything if isinstance(each, FoundProfile)]
    skipped = [each for each in everything if isinstance(each, Skipped)]
    rows = [
        (each.description, _kind(each), each.header.colour_space, str(each.path))
        for each in sorted(found, key=lambda each: each.description.casefold())
    ]
    text = (
        facts.listing(("profile", "class", "space", "file"), rows)
        if rows
        else "No colour profile where this system keeps them. Name a folder: tackside profile list FOLDER"
    )
    document = {
        "profiles": [_document(each) for each in found],
        "skipped": [{"file": str(each.path), "why": each.why} for each in skipped],
        "folders": [str(each) for each in folders],
    }
    return Outcome(document, text, tuple(_notice(each) for each in skipped))


def _kind(found: FoundProfile) -> str:
    return f"{found.header.profile_class}, v{found.header.version[0]}"


def _document(found: FoundProfile) -> dict[str, Any]:
    header = found.header
    return {
        "file": str(found.path),
        "description": found.description,
        "class": header.profile_class,
        "colour_space": header.colour_space,
        "connection_space": header.connection_space,
        "version": ".".join(map(str, header.version)),
        "size": header.size,
    }


def _notice(skipped: Skipped) -> str:
    """The path once, even where the reason names it too."""
    return skipped.why if str(skipped.path) in skipped.why else f"{skipped.path}: {skipped.why}"
