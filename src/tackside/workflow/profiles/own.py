"""A card's own profile, built at once from its evidence; what was built from the same evidence is taken again."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tackside.bench.store import Bench
from tackside.files.atomic import write_atomically
from tackside.messages.message import Message
from tackside.profile.icc.files import read_profile_file
from tackside.records.assets import ProfileQuality
from tackside.tasks.artifacts import place_of, preparing, read_prepared, tell
from tackside.tasks.cache import FOLDER, prune_now_and_then
from tackside.workflow.profiles.evidence import ProfileEvidence, of_trials
from tackside.workflow.profiles.kept import kept_profile_of
from tackside.workflow.progress import Progress, unheard

ROOM, FORM = "own-profiles", 1  # FORM is raised when the builder's result changes
FILE = "profile.icc"
# How much of the work is done when each step begins.
SHARES = {
    "profile-build.step.fitting": 0.05,
    "profile-build.step.tables": 0.35,
    "profile-build.step.inverting": 0.45,
    "profile-build.step.rendering": 0.6,
    "profile-build.step.writing": 0.85,
}


@dataclass(frozen=True, eq=False)
class OwnProfile:
    """``data``: the profile's bytes, which programs list by ``description``.

    ``notices``: what a person should know of it, patches that were left out by name among them.
    """

    data: bytes
    description: str
    evidence: ProfileEvidence
    quality: ProfileQuality
    notices: tuple[Message, ...]


def own_profile(
    evidence: ProfileEvidence,
    cache: Path | None,
    *,
    description: str | None = None,
    v2: bool = False,
    progress: Progress = unheard,
) -> OwnProfile:
    """The profile of this evidence: taken from the ``cache`` where it lies there, else built, and kept there.

    Raises BadRequest where the evidence is too thin or contradicts itself.
    """
    words = description or evidence.title
    if cache is None:
        return _build(evidence, words, v2=v2, progress=progress)
    told = hashlib.sha256(repr((evidence.key, words, v2)).encode()).hexdigest()
    place = place_of(cache, ROOM, told)
    found = read_prepared(place, FORM)
    if found is None:
        made = _build(evidence, words, v2=v2, progress=progress)
        with preparing(place) as making:
            write_atomically(making / FILE, made.data)
            tell(making, FORM, {"quality": made.quality.model_dump(mode="json"), "notices": made.notices})
        prune_now_and_then(cache)
        return made
    progress(1.0, Message("progress.profile-there"))
    quality = ProfileQuality.model_validate(found["quality"])
    return OwnProfile(read_profile_file(place / FILE), words, evidence, quality, tuple(found["notices"]))


def profile_of_card(bench: Bench, trial: str, *, progress: Progress = unheard) -> bytes:
    """The own profile of a trial's card: the newest that was built from this trial, else one that is built at once.

    Raises as ``of_trials``, and BadRequest where the evidence is too thin or contradicts itself.
    """
    kept = kept_profile_of(bench, bench.trials.get(trial).id)
    if kept is not None:
        return read_profile_file(bench.file(kept.sha256))
    return own_profile(of_trials(bench, [trial]), bench.folder / FOLDER, progress=progress).data


def _build(evidence: ProfileEvidence, words: str, *, v2: bool, progress: Progress) -> OwnProfile:
    from tackside.profile.build.build import build_profile  # slow to import: what is kept needs none of it

    built = build_profile(
        evidence.measured,
        description=words,
        condition=evidence.condition,
        made_at=datetime.now(UTC),
        v2=v2,
        tell=lambda doing: progress(SHARES.get(doing.code, 0.0), doing),
    )
    return OwnProfile(built.data, words, evidence, built.quality, built.notices)
