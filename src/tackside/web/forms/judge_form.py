"""The form of a judgement: what is to stand beside the print, and what there is to choose from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tackside.bench.repositories.catalogue import ListAsked, TrialLine
from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.records import Trial, Verdict
from tackside.records.assets import ProfileFile
from tackside.records.verdict import ProfileOf
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled

FIELDS = ("against", "profile", "profile_of", "other_side")
MOST = 200
# Which field a fault belongs to that names no place of its own; any other fault of a profile belongs to the profile.
_FIELD_OF = {"judge.against-itself": "against", "judge.not-the-other-side": "other_side"}


@dataclass(frozen=True)
class JudgeChoices:
    """The newest judged trials, printers' profiles, and read trials of the card's other side on the same printer."""

    against: tuple[TrialLine, ...]
    profiles: tuple[ProfileFile, ...]
    other_sides: tuple[TrialLine, ...]


def choices_for(bench: Bench, trial: Trial) -> JudgeChoices:
    """What may stand beside a trial's print."""
    judged, _ = bench.catalogue.trials(ListAsked(stage="judged", count=MOST, total=False))
    same, _ = bench.catalogue.trials(
        ListAsked(stock=trial.stock, printer=trial.printer, count=MOST, total=False)
    )
    profiles, _ = bench.profiles.list(ListAsked(sort="name", count=MOST))
    return JudgeChoices(
        tuple(line for line in judged if line.id != trial.id),
        tuple(line.file for line in profiles if line.file.kind == "output"),
        tuple(line for line in same if line.is_read and line.side != trial.side),
    )


def values_of(verdict: Verdict | None) -> dict[str, str]:
    """What stands in the form to begin with: what stood beside the print before."""
    if verdict is None:
        return {}
    return {
        "against": verdict.against or "",
        "other_side": verdict.other_side or "",
        "profile": verdict.profile_sha256 or "",
        "profile_of": verdict.profile_of or "class",
    }


def asked_in(form: Form, bench: Bench) -> dict[str, Any]:
    """What ``judge_print`` is to be given. Raises NotFound for a profile that is not on the bench."""
    sha256 = form.get("profile")
    profile_of: ProfileOf = "card" if form.get("profile_of") == "card" else "class"
    return {
        "against": form.get("against") or None,
        "other_side": form.get("other_side") or None,
        "profile": bench.file(bench.profiles.get(sha256).sha256) if sha256 else None,
        "profile_of": profile_of,
    }


def refused(form: Form, error: TacksideError) -> Filled:
    """The form again, what is wrong with it beside the field."""
    field = _FIELD_OF.get(error.message.code, "profile" if form.get("profile") else "")
    return Filled(form.typed(), {field: error.message})
