"""The page that begins what a verdict says to do next, and what its button says."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Trial
from tackside.records.verdict import Door
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.shell.keys import key_of


@dataclass(frozen=True)
class Button:
    href: str
    label: str


def button_for(door: Door | None, trial: Trial, person: Person) -> Button | None:
    """None where nothing of ours begins it."""
    return None if door is None else Button(_href(door, trial), person.say(words.DOORS[door]))


def _href(door: Door, trial: Trial) -> str:
    if door == "another-card":
        return "/test"
    if door == "make-card":
        return f"/make/card?stock={key_of(trial.stock)}&printer={key_of(trial.printer)}"
    if door == "read-again":
        return f"/trials/{trial.id}/read"
    if door == "settings":
        return f"/trials/{trial.id}/settings"
    other = {"front": "back", "back": "front"}[trial.side]
    side = other if door == "other-side" else trial.side
    purpose = "device" if door == "device-sheet" else trial.sheet.purpose
    asked = f"stock={key_of(trial.stock)}&printer={key_of(trial.printer)}&side={side}&purpose={purpose}"
    return f"/test/fit?{asked}&space={trial.sheet.space or 'srgb'}"
