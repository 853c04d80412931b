"""How to print a test sheet so that it can be read back, step by step, with this sheet's own figures."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.fit.model import Fit
from tackside.records import SheetPlan, Trial
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person


@dataclass(frozen=True)
class InstructionLine:
    """One instruction: what to do, and what to mind."""

    do: str
    mind: str = ""


def instructions(trial: Trial, fit: Fit, person: Person) -> tuple[InstructionLine, ...]:
    """In the order in which one's hands do it."""
    say, plan = person.say, trial.sheet
    side = person.inside(say(words.SIDES[trial.side]))
    size = fit.custom_size or person.format(fit.size_name) or person.size(plan.size_mm)
    own = say("A size of the driver's own. It is the open sheet, not the folded card.")
    typed = say(
        "Make a custom page size, width × height. It is the open sheet, not the folded card that packs state."
    )
    return (
        InstructionLine(
            say("Load one sheet, open and flat, into the feed “%(feed)s”.", feed=trial.feed),
            say("The %(side)s is to be printed. Guides touching the card, not squeezing it.", side=side),
        ),
        InstructionLine(say("Page size: %(size)s", size=size), typed if fit.custom_size else own),
        InstructionLine(
            say("Scale: 100 %, no centring"),
            say(
                "No fitting to the page, no enlarging, no shrinking; the rulers on the sheet will show it if there was."
            ),
        ),
        InstructionLine(
            say("Borderless: on") if plan.borderless else say("Borderless: off"),
            say("With the least enlargement that the driver offers.")
            if plan.borderless
            else say("The sheet keeps to what the printer reaches."),
        ),
        _colour(trial, person),
        *_all_pages(plan, person),
        InstructionLine(
            say("Let it dry for 24 hours before it is scanned or measured."),
            say("Only the smudge block is wiped earlier, after a few minutes.")
            if any(target.kind == "smudge" for target in plan.targets)
            else "",
        ),
        InstructionLine(
            say("Scan it at 300 ppi or more, in colour, with every automatic correction off."),
            say(
                "Printed side on the glass, the square marks all in. Save as TIFF or PNG. A mere photo will not do."
            ),
        ),
    )


def _all_pages(plan: SheetPlan, person: Person) -> tuple[InstructionLine, ...]:
    """What to mind where the sheet takes several sheets of the stock."""
    if plan.pages == 1:
        return ()
    return (
        InstructionLine(
            person.say("Print all %(pages)s pages in one go, each on a sheet of its own.", pages=plan.pages),
            person.say(
                "With the same settings. Lay them side by side, and bring all their scans in together."
            ),
        ),
    )


def _colour(trial: Trial, person: Person) -> InstructionLine:
    say, space = person.say, trial.sheet.space
    if trial.through is not None:
        return InstructionLine(
            say("Colour: no management anywhere"),
            say(
                "The file holds the printer's numbers, converted by “%(profile)s” already. Same paper and quality "
                "settings as for the sheet that the profile was built from.",
                profile=trial.through.profile,
            ),
        )
    if space is None:
        return InstructionLine(
            say("Colour: no management anywhere"),
            say(
                "The file holds bare numbers and has no profile: application and driver must leave them alone."
            ),
        )
    return InstructionLine(
        say("Colour: as you print your pictures"),
        say(
            "The file is in %(space)s and says so. Note which media setting and which profile you choose.",
            space=say(words.SPACES[space]),
        ),
    )
