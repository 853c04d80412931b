"""The next step as a command, with the names that are known in it and words in capitals for those that are not."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Mapping, Sequence

from tackside.records import Trial
from tackside.records.verdict import Door
from tackside.workflow.leading.next_steps import Doing, Onward, through_door

# What every shell takes as it is.
_PLAIN = re.compile(r"[\w@%+=:,./-]+")


def word(text: str) -> str:
    """A word as a shell takes it: in double quotes, which all shells know, wherever they will do."""
    if _PLAIN.fullmatch(text):
        return text
    return shlex.quote(text) if re.search(r"[\"$`\\!]", text) else f'"{text}"'


def command_for(door: Door | None, trial: Trial | None) -> str | None:
    """What begins a verdict's next step; None where nothing of ours begins it."""
    return None if door is None else command(through_door(door, trial))


def command(step: Onward) -> str:
    return COMMANDS[step.do](step)


def commands(steps: Sequence[Onward]) -> tuple[tuple[Doing, str], ...]:
    return tuple((step.do, command(step)) for step in steps)


def _names(step: Onward) -> str:
    stock, printer = (
        word(name) if name is not None else blank
        for name, blank in ((step.stock, "STOCK"), (step.printer, "PRINTER"))
    )
    return f"{stock} {printer}"


def _sheet(step: Onward) -> str:
    said = ["tackside sheet", _names(step)]
    if step.do == "other-side" or step.side != "front":
        said.append(f"--side {step.side}" if step.trial is not None else "")
    if step.purpose == "device":
        said.append("--purpose device")
    elif step.space == "adobe-rgb":
        said.append("--space adobe-rgb")
    return " ".join((*filter(None, said), "--out sheet.tif"))


def _card(step: Onward) -> str:
    named = (("--stock", step.stock), ("--printer", step.printer))
    return " ".join(
        (
            "tackside card new mount",
            *(f"{option} {word(name)}" for option, name in named if name),
            "--out card.toml",
        )
    )


def _trial(step: Onward) -> str:
    return step.trial or "TRIAL"


def _read(step: Onward) -> str:
    files = " ".join(map(word, step.files)) or "scan.tif"
    return f"tackside read {_trial(step)} {files}"


COMMANDS: Mapping[Doing, Callable[[Onward], str]] = {
    "describe-stock": lambda step: "tackside stock new",
    "describe-printer": lambda step: "tackside printer new",
    "fit": lambda step: f"tackside fit {_names(step)}",
    "sheet": _sheet,
    "other-side": _sheet,
    "device-sheet": _sheet,
    "another-card": _sheet,
    "practise": lambda step: f"tackside practice print {_trial(step)} --out scan.tif",
    "read": _read,
    "read-again": _read,
    "judge": lambda step: f"tackside judge {_trial(step)}",
    "reveal": lambda step: f"tackside practice reveal {_trial(step)}",
    "settings": lambda step: f"tackside trial set {_trial(step)} --managed-by WHO",
    "make-card": _card,
    "print-card": lambda step: (
        f"tackside card make {word(step.files[0]) if step.files else 'card.toml'} --out card.pdf"
    ),
}
