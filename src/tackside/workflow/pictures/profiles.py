"""Colour profiles: what one is, which the system holds, which comes closest to a card."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tackside.bench.store import Bench
from tackside.colour.spaces import Floats
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.picture.found_reading import FoundReading
from tackside.profile.device.device_model import DeviceModel, device_numbers, fit_device_model
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.summary import ProfileSummary, summarise
from tackside.profile.icc.system import FoundProfile, SkippedFile, find_profiles, profile_folders
from tackside.profile.match.match import Match, card_reading, match_all
from tackside.profile.match.match_advice import MatchAdvice, OwnReading, advise
from tackside.records.reading import ESTIMATES
from tackside.workflow.pictures.profile_files import read_profiles
from tackside.workflow.pictures.profile_source import profile_from
from tackside.workflow.profiles.kept import kept_profile_of


@dataclass(frozen=True, eq=False)
class SeenProfile:
    """``embedded``: it was inside a picture."""

    summary: ProfileSummary
    embedded: bool


@dataclass(frozen=True)
class HeldProfiles:
    """The profiles in ``folders``, and the files there that are none although they are called so."""

    folders: tuple[Path, ...]
    found: tuple[FoundProfile, ...]
    skipped: tuple[SkippedFile, ...]


@dataclass(frozen=True, eq=False)
class Matched:
    """Profiles beside a card that was read, the closest first.

    ``own`` is how well its own reading does, None where that is too short for a model.
    """

    reading: FoundReading
    volume: float | None
    matches: tuple[Match, ...]
    advice: MatchAdvice
    own: OwnReading | None
    notices: tuple[Message, ...]


def look_into(file: Path) -> SeenProfile:
    """What a profile is, or the one inside a picture. Raises BadProfile, BadImage, StorageTrouble."""
    profile, embedded = profile_from(file)
    return SeenProfile(summarise(profile, datetime.now(UTC).date()), embedded)


def held_profiles(folder: Path | None = None) -> HeldProfiles:
    """The profiles below ``folder`` first, then those where this system keeps them. Raises NotFound."""
    if folder is not None and not folder.is_dir():
        raise NotFound("profile.no-folder", folder=str(folder))
    system = map(Path, profile_folders(sys.platform, os.environ, Path.home()))
    folders = [*([] if folder is None else [folder]), *system]
    everything = list(find_profiles(folders))
    return HeldProfiles(
        tuple(folders),
        tuple(each for each in everything if isinstance(each, FoundProfile)),
        tuple(each for each in everything if isinstance(each, SkippedFile)),
    )


def own_profiles(bench: Bench, trial: str) -> tuple[tuple[str, bytes], ...]:
    """The profile that was built from a trial, by its description; none where there is none, or no such trial."""
    try:
        kept = kept_profile_of(bench, bench.trials.get(trial).id)
    except NotFound:
        return ()
    return () if kept is None else ((kept.title, read_profile_file(bench.file(kept.sha256))),)


def match(
    found: FoundReading, profiles: Sequence[Path], own_built: Sequence[tuple[str, bytes]] = ()
) -> Matched:
    """Hold each profile's prediction against what was measured of a card, paper and all: ``profiles`` of files, and
    those that were built from it (name, bytes).

    Raises BadRequest where the sheet was printed through colour management, BadProfile where none can be held.
    """
    if found.through_path:
        raise BadRequest("match.sheet-through-management", card=found.title)
    device, lab = device_numbers(found.reading, found.plan)
    model = _model(device, lab)
    card = card_reading(device, lab, None if model is None else model.solid.volume)
    given, no_profiles = read_profiles(profiles)
    given += own_built
    matches, left_out = match_all(card, given)
    own = None if model is None else OwnReading(model.error_median, model.error_p95)
    advice = advise(
        card,
        matches,
        own=own,
        uncertainty=found.reading.uncertainty.de00,
        scanned=found.reading.kind in ESTIMATES,
    )
    notices = (*found.reading.notices, *no_profiles, *left_out)
    return Matched(found, card.volume, matches, advice, own, notices)


def _model(device: Floats, lab: Floats) -> DeviceModel | None:
    try:
        return fit_device_model(device, lab)
    except BadRequest:  # a short strip can be matched all the same
        return None
