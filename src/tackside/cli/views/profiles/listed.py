"""What ``tackside profile list`` shows: the system's profiles, and those of a folder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.messages.wording import TERMINAL
from tackside.profile.icc.system import FoundProfile, SkippedFile
from tackside.workflow.pictures.profiles import held_profiles


def list_profiles(folder: Path | None) -> Outcome:
    """The profiles below ``folder`` first, then the system's. Raises NotFound where ``folder`` is none."""
    held = held_profiles(folder)
    found, skipped = held.found, held.skipped
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
        "skipped": [_skipped(each) for each in skipped],
        "folders": [str(each) for each in held.folders],
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


def _skipped(skipped: SkippedFile) -> dict[str, Any]:
    return {"file": str(skipped.path), "why": TERMINAL.what(skipped.why), **skipped.why.as_data()}


def _notice(skipped: SkippedFile) -> str:
    """The path once, even where the reason names it too."""
    why = TERMINAL.what(skipped.why)
    return why if str(skipped.path) in skipped.why.values.values() else f"{skipped.path}: {why}"
