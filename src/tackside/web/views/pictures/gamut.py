"""A gamut as its page shows it: whose there are to choose from, the figures as a table, what the script needs."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from tackside.bench.repositories.catalogue import ListAsked, Stage
from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.profile.gamut.gamut_device import SPACE_NAMES
from tackside.report.plots.slices import LEVELS as SLICES
from tackside.web.forms.queries.gamut_query import GamutAsked, whose
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.workflow.prepared.gamut import LEVELS, SCREEN, STEP, TURN_DEG

MOST_CHOICES = 100
STAGES: tuple[Stage, ...] = ("judged", "to-judge")
LABELS = {
    "volume": _("Volume, cubic CIELAB units"),
    "volume_relative": _("Volume beside its own white"),
    "white": _("White, L* a* b*"),
    "black": _("Black, L* a* b*"),
    "holds": _("Holds of %(name)s"),
    "drawing": _("%(name)s, seen from one side"),
    "slices": _("%(name)s: how far it reaches at L* %(levels)s"),
    "area": _("Area at L* %(level)s, square units"),
}  # fmt: skip
WORDS = {
    "turned": _("Turned by %(turn)s°, seen from %(rise)s° above."),
    "cut": _("Cut at L* %(level)s."),
    "whole": _("whole"),
}


@dataclass(frozen=True)
class GamutChoices:
    """What can be chosen, as groups of (value, words); pictures as one list."""

    whose: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    pictures: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class GamutView:
    """``rows`` are label and a figure for each solid; ``data`` is what the script needs, as JSON."""

    one: dict[str, Any]
    other: dict[str, Any] | None
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    areas: tuple[tuple[str, tuple[str, ...]], ...]
    picture: tuple[str, str, str | None] | None
    notices: tuple[Message, ...]
    drawings: tuple[tuple[str, Markup], ...]
    data: str


def choices_of(bench: Bench, asked: GamutAsked, person: Person) -> GamutChoices:
    """Cards that were read, profiles that were taken in, working spaces; what is asked for is always among them."""
    cards = [
        (f"trial-{line.id}", f"{line.stock}{_side(line.side, person)} · {line.printer} · {line.id}")
        for stage in STAGES
        for line in bench.catalogue.trials(ListAsked(stage=stage, count=MOST_CHOICES, total=False))[0]
    ]
    listed = ListAsked(count=MOST_CHOICES)
    profiles = [(f"profile-{line.file.sha256}", line.file.title) for line in bench.profiles.list(listed)[0]]
    pictures = [(line.file.sha256, line.file.name) for line in bench.pictures.list(listed)[0]]
    for named in filter(None, (asked.of, asked.against)):
        found = whose(named)
        if found.kind == "trial" and named not in dict(cards):
            cards.append((named, f"{bench.trials.get(found.key).stock} · {found.key}"))
        elif found.kind == "profile" and named not in dict(profiles):
            profiles.append((named, bench.profiles.get(found.key).title))
    if asked.picture and asked.picture not in dict(pictures):
        pictures.append((asked.picture, bench.file_name(asked.picture)))
    groups = (
        (person.say(_("Working spaces")), tuple(SPACE_NAMES.items())),
        (person.say(_("Cards, as they were read")), tuple(cards)),
        (person.say(_("Profiles")), tuple(profiles)),
    )
    return GamutChoices(tuple(group for group in groups if group[1]), tuple(pictures))


def gamut_view(found: dict[str, Any], base: str, person: Person) -> GamutView:
    """``base`` is the address under which its parts are served."""
    one, other = found["one"], found["other"]
    solids = [each for each in (one, other) if each is not None]
    data = {
        "base": base,
        "step": STEP,
        "turn": TURN_DEG,
        "solids": [_of_solid(each) for each in solids],
        "points": found["picture"]["points"] if found["picture"] else 0,
        "words": {name: person.say(text) for name, text in WORDS.items()},
        **SCREEN,
    }
    return GamutView(
        one=one,
        other=other,
        rows=tuple(_rows(found, solids, person)),
        areas=tuple(
            (
                _label(person, "area", level=level),
                tuple(_whole(each["areas"][index], person) for each in solids),
            )
            for index, level in enumerate(LEVELS)
        ),
        picture=_picture(found["picture"], person) if found["picture"] else None,
        notices=tuple(found["notices"]),
        drawings=tuple(
            (_label(person, kind, name=each["name"], levels=", ".join(map(str, SLICES))), Markup(each[kind]))
            for each in solids
            for kind in ("drawing", "slices")
        ),
        data=json.dumps(data),
    )


def _rows(
    found: dict[str, Any], solids: list[dict[str, Any]], person: Person
) -> list[tuple[str, tuple[str, ...]]]:
    rows = [
        (_label(person, "volume"), tuple(_whole(each["volume"], person) for each in solids)),
        (_label(person, "volume_relative"), tuple(_whole(each["volume_relative"], person) for each in solids)),
        (_label(person, "white"), tuple(_lab(each["white_lab"], person) for each in solids)),
        (_label(person, "black"), tuple(_lab(each["black_lab"], person) for each in solids)),
    ]  # fmt: skip
    for covered in found["covers"].values():
        said = _label(person, "holds", name=covered["name"])
        rows.append((said, tuple(_share(each, person) for each in covered["shares"])))
    if found["holds_other"] is not None:
        shares = (found["holds_other"], found["held_by_other"])
        said = _label(person, "holds", name=person.say(_("the other")))
        rows.append((said, tuple(_share(each, person) for each in shares)))
    return rows


def _label(person: Person, key: str, /, **values: object) -> str:
    text = LABELS[key]
    return person.say(text, **values)


def _of_solid(told: dict[str, Any]) -> dict[str, Any]:
    return {name: told[name] for name in ("vertices", "triangles", "nodes", "lattice")}


def _picture(told: dict[str, Any], person: Person) -> tuple[str, str, str | None]:
    compensated = told["compensated"]
    return (
        told["name"],
        _outside(told["outside"], person),
        None if compensated is None else _outside(compensated, person),
    )


def _outside(told: dict[str, Any], person: Person) -> str:
    if told["median"] is None:
        return person.say(_("Nothing of it falls outside."))
    return person.say(
        _("%(share)s %% of its area falls outside, by ΔE00 %(median)s, at the 95th percentile %(p95)s."),
        share=person.fixed(100 * told["share"], 1), median=person.fixed(told["median"], 1),
        p95=person.fixed(told["p95"], 1),
    )  # fmt: skip


def _share(told: dict[str, float], person: Person) -> str:
    return f"{person.fixed(100 * told['share'], 1)} %"


def _whole(value: float, person: Person) -> str:
    """Three figures are more than any reading is good for, but small changes are to be seen."""
    return f"{round(value):,}".replace(",", "\u202f")


def _lab(lab: list[float], person: Person) -> str:
    return "  ".join(person.fixed(round(each, 1) + 0.0, 1) for each in lab)


def _side(side: str, person: Person) -> str:
    return "" if side == "front" else f" ({person.say(_('back'))})"
