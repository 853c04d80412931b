"""The command line: which commands there are, how their outcome is shown, what becomes of an error."""

from __future__ import annotations

import codecs
import contextlib
import io
import json as json_text
import logging
import os
import sys
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any, TextIO

from cyclopts import App, CycloptsError, Group, Parameter

from tackside import __version__
from tackside.cautions import DAMP_FINGERS, DAMP_FINGERTIP, HEAD_STRIKE, SMUDGE, as_text
from tackside.cli import desktop, session, usage
from tackside.cli.examples import HELP, place_of, prepare_help
from tackside.errors import BadRequest, TacksideError
from tackside.files.outside import require_name
from tackside.messages.message import Message
from tackside.messages.wording import documents, visible, visible_json

# Said at the foot of a command's help where card is fed or touched, and nowhere else: who meets a caution everywhere
# skips it. Subcommands bring their own.
CAUTIONS = {
    "fit": (HEAD_STRIKE,),
    "sheet": (HEAD_STRIKE, SMUDGE),
    "answer": (DAMP_FINGERTIP,),
    "judge": (DAMP_FINGERTIP,),
}

# name → (module:function or app, one line for --help). The module is imported when the command is called.
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": (
        "tackside.cli.commands.demo:demo",
        "Run the whole job for an invented studio, on the virtual press.",
    ),
    "start": ("tackside.cli.commands.start:start", "Open the workbench in the browser."),
    "stock": ("tackside.cli.commands.stocks.stock:app", "Keep card stocks: new, add, list, show."),
    "printer": ("tackside.cli.commands.stocks.printer:app", "Keep printers: new, add, list, show."),
    "trial": (
        "tackside.cli.commands.prints.trial:app",
        "Keep test prints: list, show, note the settings used, withdraw.",
    ),
    "reading": ("tackside.cli.commands.prints.reading:app", "Readings: withdraw one, put it back."),
    "fit": ("tackside.cli.commands.stocks.fit:fit", "Say what a printer can do with a stock."),
    "placement": (
        "tackside.cli.commands.prints.placement:placement",
        "Show where prints land on the sheet, and what is corrected.",
    ),
    "sheet": ("tackside.cli.commands.prints.sheet:sheet", "Make the test sheet for a stock and a printer."),
    "practice": (
        "tackside.cli.commands.prints.practice:app",
        "Practise on a virtual press: print and scan a sheet with a fault of your choice, or a hidden one.",
    ),
    "read": (
        "tackside.cli.commands.prints.read:read",
        "Read printed sheets back, from scans or instrument files.",
    ),
    "scan": (
        "tackside.cli.commands.prints.scan:scan",
        "Scan printed sheets from here, and judge them.",
    ),
    "answer": (
        "tackside.cli.commands.prints.answer:answer",
        "Judge a print by eye: a few questions, no scanner needed.",
    ),
    "scanner": (
        "tackside.cli.commands.prints.scanner:app",
        "Characterise a scanner on your inks, and check it for drift.",
    ),
    "judge": ("tackside.cli.commands.prints.judge:judge", "Say how good a print is, and why."),
    "picture": ("tackside.cli.commands.pictures.picture:app", "Check pictures before any ink is used."),
    "proof": (
        "tackside.cli.commands.pictures.proof:proof",
        "Show what a print will look like on a card, and what is lost.",
    ),
    "choose": ("tackside.cli.commands.pictures.choose:choose", "Say which card suits these pictures."),
    "gamut": (
        "tackside.cli.commands.pictures.gamut:gamut",
        "Measure the gamut of a card or a profile, and what it covers.",
    ),
    "card": ("tackside.cli.commands.cards.card:app", "Make the print-ready sheet of a card."),
    "profile": (
        "tackside.cli.commands.pictures.profile:app",
        "Build the card's own profile; say what profiles are, and what is wrong with them.",
    ),
    "run": (
        "tackside.cli.commands.runs.run:app",
        "Runs of cards: sheets, ink, cost, price, printing and counting.",
    ),
    "bench": ("tackside.cli.commands.bench:app", "Look after the bench: show, back up, restore, move."),
    "report": (
        "tackside.cli.commands.prints.report:report",
        "Write the comparison of trials, ready to publish.",
    ),
}

# What stands for a sign that an encoding lacks; a question mark for all others.
NEAREST = {
    "−": "-", "–": "-", "—": "-", "‑": "-", "×": "x", "·": "-", "•": "-", "…": "...", "→": "->", "←": "<-", "▸": ">",
    "≤": "<=", "≥": ">=", "±": "+/-", "°": " deg", "µ": "u", "μ": "u", "Δ": "d", "²": "2", "³": "3", "½": "1/2",
    "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "«": '"', "»": '"', "\u00a0": " ", "\u202f": " ",
    "█": "#", "░": ".", "▏": "|", "─": "-", "━": "-", "│": "|", "✓": "yes", "✗": "no",
    "ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss", "£": "GBP ", "€": "EUR ",
}  # fmt: skip
_NAME = "tackside-nearest"
OPTIONS = Group("Options", sort_key=1)
EVERYWHERE = Group("With every command", sort_key=2)


def _require_names(_kind: object, value: object) -> None:
    """Refuse a file or folder that nothing can be called, before a command looks at it. Raises BadRequest."""
    for each in value if isinstance(value, (list, tuple)) else (value,):
        if isinstance(each, Path) or (isinstance(each, str) and "\0" in each):
            require_name(each)


app = App(
    name="tackside",
    version=f"tackside {__version__}",
    help="Which card takes ink, whose fault a poor print is, and the card made ready to print. "
    "Without a command it opens the workbench.\n\n"
    f"{HEAD_STRIKE} {DAMP_FINGERS}",
    help_format="plaintext",
    help_on_error=False,
    print_error=False,
    exit_on_error=False,
    suppress_keyboard_interrupt=False,
    result_action="return_value",
    group_arguments=Group("Arguments", sort_key=0),
    group_parameters=OPTIONS,
    group_commands=Group("Commands", sort_key=0),
    default_parameter=Parameter(validator=_require_names),
)
for name, (target, summary) in COMMANDS.items():
    said = {"help_epilogue": as_text(CAUTIONS[name])} if name in CAUTIONS else {}
    app.command(target, name=name, help=summary, sort_key=place_of(name), **said)


# Every call goes through this, which takes nothing from the app above: else Ctrl-C ends it without a word.
app.meta.suppress_keyboard_interrupt = False


@app.meta.default
def launch(
    *tokens: Annotated[str, Parameter(show=False, allow_leading_hyphen=True)],
    bench: Annotated[
        str | None,
        Parameter(
            group=EVERYWHERE, help="Folder of your records (or TACKSIDE_BENCH; else Tackside in your home)."
        ),
    ] = None,
    json: Annotated[
        bool,
        Parameter(
            group=EVERYWHERE,
            negative=(),
            show_default=False,
            help="Print one JSON document and nothing else.",
        ),
    ] = False,
) -> int:
    session.choose_bench(bench or os.environ.get("TACKSIDE_BENCH"))
    outcome = app(tokens) if tokens else nothing_asked(as_json=json)
    if not isinstance(outcome, session.Outcome):
        return 0
    show(outcome, as_json=json)
    for fault in outcome.faults:
        say(str(fault))
    return 2 if outcome.faults else 0


def nothing_asked(*, as_json: bool) -> Any:
    """``tackside`` alone: the workbench for a person with a desktop, the list of commands for anybody else."""
    if as_json:
        raise BadRequest("--json goes with a command", "see tackside --help")
    if desktop.is_person() and desktop.has_desktop():
        return app(["start"])
    if desktop.is_person():
        print(desktop.HOW)
        return None
    return app([])


def show(outcome: session.Outcome, *, as_json: bool) -> None:
    """Print what a command hands back: the document, or its text for people."""
    for warning in outcome.warnings:
        print(visible(f"tackside: note: {warning}"), file=sys.stderr)
    if as_json:
        told: dict[str, Any] = {"cautions": documents(outcome.cautions)} if outcome.cautions else {}
        if outcome.onward:
            told["next"] = [{"do": do, "command": command} for do, command in outcome.onward]
        escaped = not holds_all(sys.stdout)
        written = json_text.dumps({**outcome.document, **told}, ensure_ascii=escaped, allow_nan=False)
        print(visible_json(written))
        return
    if isinstance(outcome.text, str):
        print(visible("\n".join((outcome.text, *_minded(outcome.cautions), *_onward(outcome)))))
        return
    from rich.padding import Padding  # kept off the start-up path

    from tackside.cli.views import facts
    from tackside.cli.views.terminal import Terminal

    console = Terminal(highlight=False)
    console.print(outcome.text)
    if outcome.cautions:
        mind = facts.sentences(map(str, outcome.cautions), "Mind:", "bold")
        console.print(Padding(mind, (0, 0, 1, 2)))
    for line in _onward(outcome):
        console.print(visible(line), markup=False, soft_wrap=True)


def _onward(outcome: session.Outcome) -> list[str]:
    """The next command on a line of its own, whole: it is there to be copied."""
    commands = [command for _, command in outcome.onward]
    heads = ("Next:", *("   or:" for _ in commands[1:]))
    return [f"{head} {command}" for head, command in zip(heads, commands, strict=False)]


def _minded(cautions: Sequence[Message]) -> list[str]:
    return ["", *(f"Mind: {each}" for each in cautions)] if cautions else []


def write_whatever_comes() -> None:
    """Have standard output and standard error write the nearest signs where their encoding lacks one."""
    codecs.register_error(_NAME, _nearest)
    for stream in (sys.stdout, sys.stderr):
        # Names of files that no encoding reads pass through whole where a system lets them.
        whole = stream.errors == "surrogateescape" and holds_all(stream)
        if isinstance(stream, io.TextIOWrapper) and not whole:
            stream.reconfigure(errors=_NAME)


def holds_all(stream: TextIO) -> bool:
    """Whether a stream's encoding has every sign; JSON is written in escapes where it has not, and so loses none."""
    name = getattr(stream, "encoding", None) or "utf-8"
    try:
        return codecs.lookup(name).name.startswith("utf")
    except LookupError:
        return False


def _nearest(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    known = (_as_far_as(NEAREST.get(sign, "?"), error.encoding) for sign in lacking)
    return "".join(known), error.end


def _as_far_as(words: str, encoding: str) -> str:
    try:
        words.encode(encoding)
    except UnicodeEncodeError:
        return "?"
    return words


def say(message: str) -> None:
    """One line on standard error, whatever line breaks the message came with; nobody hears it where that is full."""
    with contextlib.suppress(OSError):
        print(visible("tackside: " + " ".join(message.split())), file=sys.stderr)


def _leave_output_alone() -> None:
    """What is still to be written is dropped where standard output takes no more, instead of failing once again."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _own_fault(error: Exception) -> None:
    """A fault of the program itself: say so in a line, keep the details in a file for whoever fixes it."""
    if os.environ.get("TACKSIDE_TRACEBACK"):
        traceback.print_exception(error)
        return
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", prefix="tackside-", suffix=".txt", delete=False
    ) as details:
        traceback.print_exception(error, file=details)
    say(
        f"a fault of Tackside's own ({type(error).__name__}: {error}); "
        f"please send {details.name} to the project; tackside bench check says whether your records are whole"
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one call; 0 done, 2 bad input, 70 our own fault, 130 interrupted. Errors are one line."""
    write_whatever_comes()
    logging.getLogger("pyvips").addHandler(logging.NullHandler())  # its errors come as exceptions too
    # Our matrices are small, and work is already shared between cores: a library's own threads would only spin.
    # It reads this when numpy is first imported, which is later than here.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        words = sys.argv[1:] if arguments is None else list(arguments)
        if any(word in HELP for word in words):
            prepare_help(app, words)
        done = app.meta(words)
        sys.stdout.flush()  # a full disk shows now, and not when nobody can be told
    except TacksideError as error:
        say(str(error))
        return 2
    except CycloptsError as error:
        say(usage.told(error, app))
        return 2
    except KeyboardInterrupt:
        say("stopped; what was finished is kept, nothing is half-written")
        return 130
    except BrokenPipeError:
        sys.stderr.close()  # the reader has gone; there is no one left to tell
        return 0
    except OSError as error:
        from tackside.files.atomic import disk_trouble, is_of_the_disk  # kept off the start-up path

        if not is_of_the_disk(error):
            _own_fault(error)
            return 70
        _leave_output_alone()
        say(str(disk_trouble(error)))
        return 2
    except MemoryError:
        say("the machine ran out of memory; close other programs or scan at a lower resolution")
        return 2
    except Exception as error:  # noqa: BLE001  the last net: nobody is shown a traceback
        _own_fault(error)
        return 70
    return done if isinstance(done, int) else 0
