"""Every message that is said stands in the catalogue, with its values, and in every language."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.pofile import read_po
from tools.catalogue import merged, missing

import tackside
import tackside.errors
from tackside.messages.catalogue import (
    Entry,
    Fault,
    Plural,
    Where,
    all_entries,
    strings_in,
    subjects,
    texts_of,
)
from tackside.messages.languages import LANGUAGES, locale_file
from tackside.messages.message import CODE
from tackside.messages.texts import ROOMS

SOURCE = Path(tackside.__file__).parent
ERRORS = {
    name
    for name, each in vars(tackside.errors).items()
    if isinstance(each, type) and issubclass(each, tackside.errors.TacksideError)
}
ENTRIES = dict(all_entries())
OTHERS = tuple(language for language in LANGUAGES if language != "en")


def names_in(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


def fields_in(text: str) -> set[tuple[str, str]]:
    """What is filled in, and how: names with their formats."""
    return {(name, spec or "") for _, name, spec, _ in Formatter().parse(text) if name is not None}


def words_in(text: str) -> list[str]:
    """The words of a text that are its own: what is filled in, and names in capitals and codes, left out."""
    bare = "".join(plain for plain, _, _, _ in Formatter().parse(text))
    return [
        word
        for word in re.findall(r"[^\W\d_]+", bare)
        if len(word) > 1 and (word.islower() or word.istitle())
    ]


def translated(language: str) -> Iterator[tuple[str, str, str]]:
    """Each text in a language: its code, the English and the other, one and many apart."""
    for subject in subjects():
        with locale_file(language, subject).open("rb") as file:
            for each in read_po(file, locale=language):
                if each.id:
                    ids = each.id if isinstance(each.id, tuple) else (each.id,)
                    told = each.string if isinstance(each.string, tuple) else (each.string,)
                    for one, other in zip(ids, told, strict=True):
                        yield str(each.context), one, other


def single(text: str | Plural) -> tuple[str, ...]:
    return (text.one, text.many) if isinstance(text, Plural) else (text,)


def said() -> Iterator[tuple[str, str, set[str] | None]]:
    """Each message or error of the source that names its code: where, the code, its values (None: not told here)."""
    for file in SOURCE.rglob("*.py"):
        for each in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not (isinstance(each, ast.Call) and isinstance(each.func, ast.Name)):
                continue
            if each.func.id not in {"Message", *ERRORS} or len(each.args) != 1:
                continue
            code = each.args[0]
            if isinstance(code, ast.Constant) and isinstance(code.value, str) and CODE.fullmatch(code.value):
                names = {word.arg for word in each.keywords if word.arg}
                if each.func.id in ERRORS:
                    names -= {"place"}  # where the fault lies, no value of its text
                open_ended = any(word.arg is None for word in each.keywords)
                yield f"{file.relative_to(SOURCE)}:{each.lineno}", code.value, None if open_ended else names


def test_what_the_source_says_stands_in_the_catalogue() -> None:
    found = list(said())
    assert len(found) > 20
    assert [(where, code) for where, code, _ in found if code not in ENTRIES] == []


def test_each_text_gets_the_values_that_it_names() -> None:
    """A code that is said without values is a form to be filled later, by ``with_values``."""
    lacking = [
        (where, code, sorted(asked - names))
        for where, code, names in said()
        if names
        and (
            asked := {
                name for text in strings_in(ENTRIES[code]) for one in single(text) for name in names_in(one)
            }
        )
        and not asked <= names
    ]
    assert lacking == []


@pytest.mark.parametrize("subject", subjects())
def test_a_subject_holds_its_own_codes(subject: str) -> None:
    for code, entry in texts_of(subject).items():
        assert CODE.fullmatch(code), code
        assert code.startswith(f"{subject}."), code
        for text in strings_in(entry):
            for one in single(text):
                assert one.strip() == one, code
                assert one, code


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("subject", subjects())
def test_every_text_is_there_in_every_language(subject: str, language: str) -> None:
    with locale_file(language, subject).open("rb") as file:
        kept = read_po(file, locale=language)
    assert missing(kept) == []
    assert missing(merged(subject, language, kept)) == []
    # And none that nothing says any more.
    assert len(merged(subject, language, kept)) == len(kept)
    for each in kept:
        if each.id:
            ids = each.id if isinstance(each.id, tuple) else (each.id,)
            told = each.string if isinstance(each.string, tuple) else (each.string,)
            for one, other in zip(ids, told, strict=True):
                assert fields_in(one) == fields_in(other), each.context


@pytest.mark.parametrize("language", OTHERS)
def test_no_text_is_left_in_english(language: str) -> None:
    """Three words or more that read as the English do are not translated."""
    same = {
        (code, one) for code, one, other in translated(language) if one == other and len(words_in(one)) > 2
    }
    assert same == set()


@pytest.mark.parametrize("language", OTHERS)
def test_faults_read_well_joined_in_every_language(language: str) -> None:
    """Neither part of a fault ends in a full stop where its English does not."""
    assert [
        (code, other)
        for code, one, other in translated(language)
        if isinstance(ENTRIES[code], Fault) and other.endswith(".") and not one.endswith(".")
    ] == []


def test_french_is_set_as_its_printers_set_it() -> None:
    """Common practice: a narrow space before ; ! ?, a no-break space before the colon and inside the guillemets, and no
    typewriter's apostrophe between letters."""
    wrong = re.compile(
        r"(?<!\u202f)[;!?](?=\s|$)|(?<=\w) :(?=\s|$)|«(?!\u00a0)|(?<!\u00a0)»|(?<=[^\W\d_])'(?=[^\W\d_])"
    )
    assert [(code, other) for code, _, other in translated("fr") if wrong.search(other)] == []


def test_the_table_of_rooms_is_what_the_rooms_hold() -> None:
    folder = SOURCE / "messages" / "texts"
    held = {
        room.name: {file.stem.replace("_", "-") for file in room.glob("*.py")} - {"--init--"}
        for room in folder.iterdir()
        if (room / "__init__.py").exists()
    }
    assert {room: set(named) for room, named in ROOMS.items()} == held


@pytest.mark.parametrize("language", OTHERS)
def test_no_file_of_a_subject_that_is_gone(language: str) -> None:
    folder = SOURCE / "messages" / "locale" / language
    assert {file.stem for file in folder.glob("*.po")} == set(subjects())


def test_faults_read_well_joined() -> None:
    """``what; fix`` is one sentence: neither part ends in a full stop."""
    ends = [
        code
        for code, entry in ENTRIES.items()
        if isinstance(entry, Fault)
        for text in strings_in(entry)
        for one in single(text)
        if re.search(r"[^.]\.$", one)
    ]
    assert ends == []


# A command or its option, or a key of a file: what a page never says.
COMMAND = re.compile(r"\btackside [a-z]|(?<![\w-])--[a-z]|\b[a-z]+_(?:mm|pt|gsm|ppi)\b(?![:}])|\.toml\b")
# What only a command does: a page names it as well.
BY_COMMAND_ALONE = re.compile(r"tackside (?:scanner|card second-side|bench|run (?:picklist|send)) ")


def page_texts(entry: Entry) -> Iterator[str]:
    """What an entry says on a page."""
    if isinstance(entry, Fault):
        yield from page_texts(entry.what)
        yield from page_texts(entry.fix)
    else:
        yield from single(entry.page if isinstance(entry, Where) else entry)


def test_no_page_names_a_command_or_a_key_of_a_file() -> None:
    named = [
        f"{code}: {text}"
        for code, entry in ENTRIES.items()
        for text in page_texts(entry)
        if COMMAND.search(re.sub(r"{\w+(?::[^}]*)?}", "X", text)) and not BY_COMMAND_ALONE.search(text)
    ]
    assert named == []
