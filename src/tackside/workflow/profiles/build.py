"""Build a card's own profile: written to a file, kept on the bench with how good it is, or both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.files.atomic import require_free, write_atomically
from tackside.profile.icc.files import PROFILE_SUFFIXES
from tackside.records.assets import ProfileFile, ProfileOrigin
from tackside.tasks.cache import FOLDER
from tackside.workflow.cards.picture import plain_file_name
from tackside.workflow.pictures.keep import keep_profile_data
from tackside.workflow.profiles.evidence import MOST_WORDS, ProfileEvidence, evidence_of
from tackside.workflow.profiles.own import OwnProfile, own_profile
from tackside.workflow.profiles.refine import evidence_to_refine
from tackside.workflow.progress import Progress, part, unheard


@dataclass(frozen=True)
class ProfileWishes:
    """``description``: the words by which programs list it, the card's and printer's names by default. ``v2`` for older
    programs."""

    description: str | None = None
    v2: bool = False


@dataclass(frozen=True, eq=False)
class BuiltProfile:
    """What was built; ``kept`` on the bench where it came from trials, ``file`` where it was written to one."""

    own: OwnProfile
    kept: ProfileFile | None
    file: Path | None


PLAIN = ProfileWishes()


def build_own_profile(
    bench: Bench | None,
    trials: Sequence[str],
    files: Sequence[Path] = (),
    *,
    out: Path | None = None,
    wishes: ProfileWishes = PLAIN,
    force: bool = False,
    progress: Progress = unheard,
) -> BuiltProfile:
    """The profile of trials of the ``bench``, or of instrument files.

    ``out`` is replaced with ``force`` alone, and never where it is one of ``files``. Raises BadRequest, NotFound,
    BadInstrumentFile, StorageTrouble; nothing is written then.
    """
    _require_free(out, files, force=force)
    return _built(bench, evidence_of(bench, trials, files), out, wishes, progress)


def refine_own_profile(
    bench: Bench,
    trial: str,
    *,
    out: Path | None = None,
    wishes: ProfileWishes = PLAIN,
    force: bool = False,
    progress: Progress = unheard,
) -> BuiltProfile:
    """The profile that a trial's sheet went through, built again from what it was built from and from that print.

    Raises as ``build_own_profile``, and BadRequest where the sheet went through no profile, or its profile holds no
    measurements.
    """
    _require_free(out, (), force=force)
    return _built(bench, evidence_to_refine(bench, trial), out, wishes, progress)


def _built(
    bench: Bench | None,
    evidence: ProfileEvidence,
    out: Path | None,
    wishes: ProfileWishes,
    progress: Progress,
) -> BuiltProfile:
    words = (wishes.description or "").strip() or None
    if words is not None and len(words) > MOST_WORDS:
        raise BadRequest("own-profile.description-too-long", limit=MOST_WORDS)
    cache = None if bench is None or evidence.card is None else bench.folder / FOLDER
    own = own_profile(evidence, cache, description=words, v2=wishes.v2, progress=part(progress, 0.0, 0.95))
    if out is not None:
        write_atomically(out, own.data)
    return BuiltProfile(own, _kept(bench, own, out), out)


def _kept(bench: Bench | None, own: OwnProfile, out: Path | None) -> ProfileFile | None:
    card = own.evidence.card
    if bench is None or card is None:
        return None
    origin = ProfileOrigin(
        stock=card.stock, side=card.side, printer=card.printer, trials=own.evidence.trials,
        readings=own.evidence.readings, quality=own.quality, notices=own.notices,
    )  # fmt: skip
    name = out.name if out is not None else plain_file_name(f"{card.stock}.icc")
    return keep_profile_data(bench, own.data, name, origin)


def _require_free(out: Path | None, inputs: Sequence[Path], *, force: bool) -> None:
    if out is None:
        return
    if out.suffix.lower() not in PROFILE_SUFFIXES:
        raise BadRequest("own-profile.suffix", file=out.name)
    require_free(out, force=force, inputs=inputs)
