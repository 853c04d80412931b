"""What a profile is refined from: what it was built from, and a print that went through it."""

from __future__ import annotations

from dataclasses import replace

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.profile.build.measured import MeasuredPatches
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.inspect import contents, read_tags
from tackside.reading.instrument.file import parse_instrument
from tackside.reading.instrument.matching import bare_patches
from tackside.records.trial import SentThrough
from tackside.workflow.profiles.evidence import ProfileEvidence, of_trials

TEXT = b"text\0\0\0\0"  # how a textType begins


def evidence_to_refine(bench: Bench, trial: str) -> ProfileEvidence:
    """The readings that the profile of a trial's sheet was built from, as far as they stand, and those of that trial.

    Of a profile that was not built on this bench, the measurements that it carries. Raises NotFound, BadRequest.
    """
    found = bench.trials.get(trial)
    if found.through is None:
        raise BadRequest("own-profile.sheet-through-none", trial=found.id)
    kept = bench.profiles.get(found.through.sha256)
    if kept.origin is not None:
        return of_trials(bench, [*(each for each in kept.origin.trials if each != found.id), found.id])
    print_alone = of_trials(bench, [found.id])
    carried = _carried(read_profile_file(bench.file(found.through.sha256)), found.through)
    return replace(print_alone, measured=MeasuredPatches.joined([carried, print_alone.measured]))


def _carried(profile: bytes, through: SentThrough) -> MeasuredPatches:
    """The measurements in a profile's ``targ``. Raises BadRequest where there are none that can be read."""
    held = bytes(contents(read_tags(profile)).get("targ", b""))
    if not held.startswith(TEXT):
        raise BadRequest("own-profile.carries-no-measurements", profile=through.profile)
    text = held[len(TEXT) :].rstrip(b"\0")
    patches = bare_patches(parse_instrument(text, through.profile))
    rows = [(each.rgb, each.lab, each.name) for each in patches if each.rgb is not None]
    if not rows:
        raise BadRequest("own-profile.carries-no-measurements", profile=through.profile)
    device, lab, names = zip(*rows, strict=True)
    return MeasuredPatches.of(device, lab, names=names)
