"""The form of a trial's settings: how the sheet was printed."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from tackside.bench.store import Bench
from tackside.errors import Overtaken
from tackside.files.record_faults import field_faults
from tackside.messages.message import Message
from tackside.records import Settings, Trial
from tackside.web.forms.numbers import number
from tackside.web.forms.received import Form
from tackside.web.forms.revision import revision_number
from tackside.web.forms.stock_form import Filled
from tackside.workflow.trials import note_settings

TEXTS = ("media_setting", "quality", "profile", "lamp")
CHOICES = ("colour_managed_by", "intent", "source_space")
FIELDS = (*TEXTS, *CHOICES, "black_point_compensation", "drying_hours", "notes")


def settings_from(form: Form) -> Settings | Filled:
    """The settings that were typed, or the form to be shown again."""
    data: dict[str, Any] = {name: form.get(name) or None for name in (*TEXTS, *CHOICES)}
    data["black_point_compensation"] = {"yes": True, "no": False}.get(form.get("black_point_compensation"))
    data["drying_hours"] = number(form.get("drying_hours"))
    data["notes"] = form.get("notes").replace("\r\n", "\n")
    try:
        return Settings.model_validate(data)
    except ValidationError as error:
        faults: dict[str, Message] = {}
        for fault in field_faults(error, Settings):
            faults.setdefault(str(fault.place.path[0]), fault.message)
        return Filled(form.typed(), faults)


def note_typed(bench: Bench, trial: Trial, form: Form) -> Filled:
    """Note the settings that were typed, where they differ from what is noted; the form as it then stands.

    Its faults say what is wrong, or that somebody noted something else meanwhile (under ``""``); nothing is noted then.
    """
    found = settings_from(form)
    if isinstance(found, Filled):
        return found
    newest = bench.trials.settings_history(trial.id)[-1].revision
    if found == bench.trials.get(trial.id).settings:
        return Filled({**form.typed(), "after": str(newest)})
    try:
        noted = note_settings(bench, trial.id, found, after=revision_number(form.get("after")))
    except Overtaken as error:
        return Filled({**form.typed(), "after": str(newest)}, {"": error.message})
    return Filled({**form.typed(), "after": str(noted.revision)})


def settings_values(settings: Settings) -> dict[str, str]:
    values = {name: getattr(settings, name) or "" for name in (*TEXTS, *CHOICES)}
    known = settings.black_point_compensation
    values["black_point_compensation"] = "" if known is None else ("yes" if known else "no")
    values["drying_hours"] = "" if settings.drying_hours is None else f"{settings.drying_hours:g}"
    values["notes"] = settings.notes
    return values
