"""What a page offers: trials that an own profile can be built from, and the printers that a profile is for."""

from __future__ import annotations

from itertools import islice

from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.profile.build.measured import LEAST_PATCHES
from tackside.records import Trial
from tackside.workflow.profiles.evidence import of_trials

MOST_OFFERED = 3


def why_not_built(bench: Bench, trial: str) -> Message | None:
    """Why no own profile can be built from a trial, as far as that shows at once; None where one can."""
    kept = bench.trials.get(trial)
    if kept.sheet.purpose == "path" and kept.through is None:  # what most trials are
        return Message("own-profile.through-management", trial=kept.id)
    try:
        evidence = of_trials(bench, [trial])
    except TacksideError as error:
        return error.message
    patches = len({tuple(row) for row in evidence.measured.device.round(5).tolist()})
    if patches < LEAST_PATCHES:
        return Message("profile-build.too-few-patches", count=patches, limit=LEAST_PATCHES)
    return None


def trials_to_convert_by(bench: Bench, stock: str, printer: str) -> tuple[Trial, ...]:
    """The newest trials of a stock on a printer that an own profile can be built from, the newest first."""
    bare = map(bench.trials.get, bench.trials.of_bare_numbers(stock, printer))
    found = (each for each in bare if each.through is None and why_not_built(bench, each.id) is None)
    return tuple(islice(found, MOST_OFFERED))
