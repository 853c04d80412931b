"""The man page and the shells' completions, made from the command line itself."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Literal, get_args

from tackside import __version__
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE
from tackside.cli.main import COMMANDS, app

Shell = Literal["bash", "zsh", "fish"]
# Where each shell looks, below the folder that all packages share.
COMPLETIONS: Mapping[Shell, str] = {
    "bash": "bash-completion/completions/tackside",
    "zsh": "zsh/vendor-completions/_tackside",
    "fish": "fish/vendor_completions.d/tackside.fish",
}
OPTIONS = {
    "--bench FOLDER": "The folder of your records.",
    "--json": "Print one JSON document and nothing else.",
    "--help": "Say what a command does and which options it has.",
    "--version": "Say the version.",
}
ENVIRONMENT = {
    "TACKSIDE_BENCH": "The folder of your records, where --bench does not name one. From the bundle: Tackside in "
    "your documents, or in your home folder where it has been so far. From a Python package: Tackside in your home "
    "folder.",
    "TACKSIDE_PASSWORD": "The password that tackside start --listen asks of others.",
}
EXIT = {
    "0": "Done.",
    "2": "Bad input: one line on standard error says what is wrong and how to fix it.",
    "70": "A fault of Tackside itself.",
    "130": "Stopped by Ctrl-C.",
}


def escaped(text: str) -> str:
    """Words as troff takes them: its own signs escaped, a line that begins with a dot or an apostrophe as well."""
    safe = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{safe}" if safe[:1] in (".", "'") else safe


def listed(entries: Mapping[str, str]) -> list[str]:
    return [line for name, said in entries.items() for line in (".TP", f".B {escaped(name)}", escaped(said))]


def man_page() -> str:
    """``tackside.1``, in the man macros."""
    commands = {name: summary for name, (_, summary) in COMMANDS.items()}
    lines = [
        f'.TH TACKSIDE 1 "" "Tackside {__version__}" "User Commands"',
        ".SH NAME",
        escaped(
            "tackside - which card takes ink, whose fault a poor print is, and the card made ready to print"
        ),
        ".SH SYNOPSIS",
        ".B tackside",
        escaped("[--bench FOLDER] COMMAND [OPTIONS] [--json]"),
        ".SH DESCRIPTION",
        escaped(
            "A workbench for people who print greeting cards on a small inkjet. tackside start opens it in the "
            "browser; every job can be done by a command as well."
        ),
        ".PP",
        escaped(f"{HEAD_STRIKE} {DAMP_FINGERS}"),
        ".SH COMMANDS",
        escaped("tackside COMMAND --help says more of each."),
        *listed(commands),
        ".SH OPTIONS",
        *listed(OPTIONS),
        ".SH ENVIRONMENT",
        *listed(ENVIRONMENT),
        ".SH EXIT STATUS",
        *listed(EXIT),
    ]
    return "\n".join(lines) + "\n"


def completion(shell: Shell) -> str:
    """What teaches a shell the commands and options."""
    made = app.generate_completion(shell=shell)
    return made if made.endswith("\n") else f"{made}\n"


def write(share: Path) -> None:
    """Write the man page and all completions below a ``share`` folder."""
    page = share / "man" / "man1" / "tackside.1"
    page.parent.mkdir(parents=True, exist_ok=True)
    page.write_text(man_page(), encoding="utf-8", newline="\n")
    for shell in get_args(Shell):
        file = share / COMPLETIONS[shell]
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(completion(shell), encoding="utf-8", newline="\n")
