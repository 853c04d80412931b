"""A card's own profile as its page shows it: how good it is, how to print with it; and a print beside its promise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.records.assets import ProfileFile
from tackside.report.patches import to_screen
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.workflow.profiles.check import KeptPromise, ProfileCheck
from tackside.workflow.profiles.told import instructions, quality_told

SHOWN = 12


@dataclass(frozen=True)
class OwnProfileView:
    """``figures``: label and value. ``steps``: what to choose to print with it."""

    figures: tuple[tuple[Message, Message], ...]
    notices: tuple[Message, ...]
    steps: tuple[Message, ...]
    trials: tuple[str, ...]


@dataclass(frozen=True)
class PromisedPatch:
    """Colours as CSS has them, and as L*a*b*."""

    name: str
    promised_css: str
    came_css: str
    promised: str
    came: str
    de00: str


@dataclass(frozen=True)
class PromiseView:
    facts: tuple[tuple[str, str], ...]
    patches: tuple[PromisedPatch, ...]


def own_profile_view(bench: Bench, kept: ProfileFile) -> OwnProfileView | None:
    """None of a profile that was not built here."""
    origin = kept.origin
    if origin is None:
        return None
    first = bench.trials.get(origin.trials[0])
    return OwnProfileView(
        quality_told(origin.quality, len(origin.readings)),
        origin.notices,
        instructions(kept.title, first.id, first.settings.media_setting),
        origin.trials,
    )


def promise_view(found: ProfileCheck, person: Person) -> PromiseView:
    """The figures of a check, and its patches that came farthest from what was promised."""
    say, number = person.say, person.fixed
    facts = [
        (say(_("All patches, median ΔE00")), number(found.median, 2)),
        (
            say(_("95 %% within")) % (),
            number(found.p95, 2),
        ),  # doubled for the templates, which share the text
    ]
    if found.paper is not None:
        facts.append((say(_("Paper, ΔE00")), number(found.paper, 2)))
    if found.black is not None:
        facts.append((say(_("Black, ΔE00")), number(found.black, 2)))
    if found.shift is not None:
        told = ", ".join(
            f"{name} {number(step, 2)}" for name, step in zip(("L*", "a*", "b*"), found.shift, strict=True)
        )
        facts.append((say(_("Greys came off by")), told))
    facts.append((say(_("The reading is good to, ΔE00")), number(found.uncertainty, 1)))
    return PromiseView(tuple(facts), tuple(_patch(each, person) for each in found.patches[:SHOWN]))


def _patch(each: KeptPromise, person: Person) -> PromisedPatch:
    promised_css, came_css = to_screen(np.array([each.promised, each.came]))[0]
    return PromisedPatch(
        each.name,
        promised_css,
        came_css,
        _lab(each.promised, person),
        _lab(each.came, person),
        person.fixed(each.de00, 2),
    )


def _lab(lab: tuple[float, float, float], person: Person) -> str:
    return "\N{NO-BREAK SPACE}".join(person.fixed(value, 1) for value in lab)
