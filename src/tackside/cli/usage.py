"""What is wrong with a call's own words (a name without quotes, a word too many, an option without its value), told
plainly: what, and how to write it.
"""

from __future__ import annotations

import difflib
import shlex
from collections.abc import Sequence
from typing import get_args

from cyclopts import (
    App,
    CoercionError,
    CycloptsError,
    MissingArgumentError,
    RepeatArgumentError,
    UnknownCommandError,
    UnknownOptionError,
    UnusedCliTokensError,
)

from tackside.errors import TacksideError

# Quotes as word processors and telephones write them; a shell knows none of them.
_TYPOGRAPHIC = "“”„‟«»‹›‘’‚"
_NOT_A_NUMBER = {int: "a whole number", float: "a number"}


def told(error: CycloptsError, app: App) -> str:
    """One line: what is wrong, then the fix."""
    command = " ".join(("tackside", *(error.command_chain or ())))
    if isinstance(error, UnknownCommandError):
        return _unknown_command(error, app, command)
    if isinstance(error, UnusedCliTokensError):
        return _too_many(error, command)
    if isinstance(error, UnknownOptionError):
        return _unknown_option(error, command)
    if isinstance(error, MissingArgumentError):
        return _missing(error, command)
    if isinstance(error, CoercionError):
        return _wrong_kind(error, command)
    if isinstance(error, RepeatArgumentError):
        name = error.token.keyword or error.token.value
        return f"{name} is there more than once; give it once"
    return f"{str(error).strip().rstrip('.')}; see {command} --help"


def _unknown_command(error: UnknownCommandError, app: App, command: str) -> str:
    word = (error.unused_tokens or ["?"])[0]
    if word.startswith("-"):
        return f"there is no option {word}; see {command} --help"
    known = [name for name in error.app or app if not name.startswith("-")]
    near = difflib.get_close_matches(word, known, n=1)
    fix = f"did you mean {near[0]}?" if near else f"there are {', '.join(known)}"
    return f"there is no command {word!r} here; {fix}"


def _too_many(error: UnusedCliTokensError, command: str) -> str:
    """Mostly a name of several words without quotes, which the shell has taken apart."""
    left = error.unused_tokens or []
    words = _words_before_options(error.root_input_tokens or [], error.command_chain or (), left)
    shown = _joined(left)
    if any(sign in word for word in words for sign in _TYPOGRAPHIC):
        whole = " ".join(words).translate(str.maketrans("", "", _TYPOGRAPHIC))
        return f'{shown} is left over; these quotes are typographic, use straight ones: {command} "{whole}"'
    quoted = _quoted(words, left) if all(_is_plain(word) for word in left) else None
    if quoted is not None:
        return f"{shown} is left over; put a name of several words in quotes: {command} {quoted}"
    return f"{shown} is left over; see {command} --help"


def _quoted(words: Sequence[str], left: Sequence[str]) -> str | None:
    """The words with quotes about the names that the bench knows; about all, where only one name was asked for."""
    parts, rest, names = [], list(words), _names_on_the_bench()
    while rest:
        found = next((n for n in range(len(rest), 0, -1) if " ".join(rest[:n]).casefold() in names), 1)
        parts.append(" ".join(rest[:found]))
        rest = rest[found:]
    if len(parts) < len(words):
        return " ".join(f'"{part}"' if " " in part else part for part in parts)
    return f'"{" ".join(words)}"' if len(words) == len(left) + 1 else None


def _names_on_the_bench() -> set[str]:
    from tackside.cli.session import bench_if_there  # only once something is wrong

    try:
        bench = bench_if_there()
        if bench is None:
            return set()
        names = [stock.name for stock in bench.stocks.list()]
        names += [printer.name for printer in bench.printers.list()]
    except TacksideError:
        return set()
    return {name.casefold() for name in names}


def _words_before_options(typed: Sequence[str], chain: Sequence[str], left: Sequence[str]) -> list[str]:
    """The words from the command to the first option behind it."""
    start = 0
    for name in chain:
        start = list(typed).index(name, start) + 1 if name in typed[start:] else start
    words: list[str] = []
    for word in typed[start:]:
        if word.startswith("-"):
            break
        words.append(word)
    return words if set(left) <= set(words) else list(left)


def _is_plain(word: str) -> bool:
    """Whether it may be a part of a name: no file, no path."""
    return not ("/" in word or "\\" in word or ("." in word and not word.replace(".", "").isdigit()))


def _unknown_option(error: UnknownOptionError, command: str) -> str:
    word = error.token.keyword or error.token.value
    known = [name for each in error.argument_collection for name in each.names if name.startswith("--")]
    near = difflib.get_close_matches(word, known, n=1)
    fix = f"did you mean {near[0]}?" if near else f"see {command} --help"
    return f"{command} has no option {word}; {fix}"


def _missing(error: MissingArgumentError, command: str) -> str:
    argument = error.argument
    if argument is None:
        return f"{command} lacks a value; see {command} --help"
    if argument.field_info.is_positional:
        name = argument.names[0].lstrip("-").upper()
        return f"{command} needs {name}, which is missing; see {command} --help"
    name = argument.names[0]
    count, _ = argument.token_count()
    is_there = name in (error.root_input_tokens or ())
    if not is_there:
        return f"{command} needs {name}, which is missing; see {command} --help"
    if count > 1:
        return (
            f"{name} takes {count} values, and {len(error.tokens_so_far)} came; give {name} {_example(count)}"
        )
    return f"{name} lacks its value; give it after the option, as {name} VALUE"


def _example(count: int) -> str:
    return " ".join(("210", "297", "5", "5")[:count]) if count <= 4 else "…"


def _wrong_kind(error: CoercionError, command: str) -> str:
    token = error.token
    if token is None:
        return f"{str(error).strip().rstrip('.')}; see {command} --help"
    name = token.keyword or (error.argument.names[0].lstrip("-").upper() if error.argument else "a value")
    if (choices := _choices(error.target_type)) is not None:
        near = difflib.get_close_matches(token.value, choices, n=1)
        fix = f"did you mean {near[0]}? There are " if near else "there are "
        return f"{name} is {token.value!r}, which is no choice; {fix}{', '.join(choices)}"
    wanted = _NOT_A_NUMBER.get(error.target_type) if error.target_type is not None else None
    if wanted is not None:
        return f"{name} is {token.value!r}, not {wanted}; see {command} --help"
    return f"{name} is {token.value!r}, which does not fit; see {command} --help"


def _choices(kind: object) -> list[str] | None:
    found = [str(each) for each in get_args(kind) if isinstance(each, str)]
    return found or None


def _joined(words: Sequence[str]) -> str:
    return " ".join(shlex.quote(word) if not word.isprintable() else word for word in words)
