"""The page that begins a next step, and what its button says: the browser's words for the table of ``workflow``."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Trial
from tackside.records.verdict import Door
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.shell.keys import key_of
from tackside.workflow.leading.next_steps import Onward, through_door


@dataclass(frozen=True)
class Button:
    href: str
    label: str


def button_for(door: Door | None, trial: Trial, person: Person) -> Button | None:
    """What begins a verdict's next step; None where nothing of ours begins it."""
    return None if door is None else button(through_door(door, trial), person)


def practice_button(trial: Trial, person: Person) -> Button:
    """What comes after a verdict on practice."""
    return button(Onward("reveal", trial=trial.id), person)


def button(step: Onward, person: Person) -> Button:
    return Button(_href(step), person.say(words.DOORS[step.do]))


def _href(step: Onward) -> str:
    names = "&".join(
        f"{kind}={key_of(name)}" for kind, name in (("stock", step.stock), ("printer", step.printer)) if name
    )
    match step.do:
        case "describe-stock":
            return "/describe/stock?then=test"
        case "describe-printer":
            return f"/describe/printer?then=test&{names}".rstrip("&")
        case "another-card":
            return "/test"
        case "make-card" | "print-card":
            return f"/make/card?{names}"
        case "fit":
            return (
                f"/test/fit?{names}" if step.printer else f"/test/printer?{names}" if step.stock else "/test"
            )
        case "read" | "read-again":
            return f"/trials/{step.trial}/read"
        case "judge":
            return f"/trials/{step.trial}"
        case "settings":
            return f"/trials/{step.trial}/settings"
        case "practise":
            return f"/practice?trial={step.trial}"
        case "reveal":
            return f"/practice/{step.trial}"
        case _:  # a sheet, like this one or other in what its door says
            return f"/test/fit?{names}&side={step.side}&purpose={step.purpose}&space={step.space or 'srgb'}"
