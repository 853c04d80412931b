"""Mends in the browser's own words: the floors below name commands, and on a page the same is done by hand.

They say what to do at the command line, which scripts and people there rely on. Whatever a page prints goes through
``in_browser`` (the templates' ``finalize``); the JSON of the API stays as it is. What only a command can do, as to
learn a scanner, is still named by its command.
"""

from __future__ import annotations

import re

# Signs of a text that may have to be said otherwise: most texts have none, and pages print many.
_SIGNS = ("tackside ", "--", " file", "_mm", "_pt")
_PLACES = {"stock": "Stocks", "printer": "Printers", "card": "Cards", "trial": "Trials", "run": "Runs"}
_KIND = rf"({'|'.join(_PLACES)})"
_NUMBER = r"([\d.]+[\d])"

# What is said at the command line → on a page. Commands first, then the fields of the files that people write there.
_WORDS: tuple[tuple[str, str], ...] = (
    (rf"see the (?:names|ids) with tackside {_KIND} list", r"choose it on the page {\1}"),
    (rf"see its revisions with tackside {_KIND} show", "see its history on its page"),
    (rf"add (one|it) first: tackside {_KIND} add FILE\.toml", r"describe \1 on the page {\2}"),
    (r"keep one first: tackside run keep FILE\.toml", "plan one on the page {run}"),
    (r"make one first: tackside sheet STOCK PRINTER --out FILE\.tif", "make one first: test a card"),
    (r"read what you printed: tackside read \S+ FILE", "open the trial and read what you printed"),
    (r"its sheet: tackside read (\S+) FILE", r"its sheet, and read it on the page of trial \1"),
    (r"judge it first: tackside judge \S+", "open the trial and judge it"),
    (r"see the trial with tackside trial show", "see the trial's page"),
    (r"run: tackside read (\S+) .+?, or scan", r"read it on the page of trial \1, or scan"),
    (
        r'print its sheet and read it: tackside sheet "(.+?)" PRINTER --purpose device --out FILE\.tif',
        r"test \1 with a sheet for the printer alone, and read that",
    ),
    (
        r"measure a whole chart: tackside sheet STOCK PRINTER --purpose device",
        "measure a whole chart: test the card with a sheet for the printer alone",
    ),
    (r"or judge a sheet of bare numbers \(--purpose device\)", "or test the card with a sheet for the printer alone"),
    (r"tackside fit says (?:why, and )?what would do", "test the card with this printer: the page says what would do"),
    (r"make the sheet for --side (front|back)", r"make the sheet for its \1"),
    (r"choose .+? ppi with --ppi|choose fewer with --ppi", "correct the grid in the printer's record"),
    (r"fill it from rows with --csv", "fill it from a list in a run"),
    (r"choose with --keep mine, .+? another name\)", "take it in again, and choose which of the two is to be kept"),
    (r"import it under --keep mine or theirs", "take it in again, and keep yours or theirs alone"),
    (r"look at them with tackside picture check", "look at them on the page Pictures"),
    (
        r'name a font file that has it, fonts = \["FILE\.ttf"\] under \[labels\] in the run file',
        "install a font that has it on the computer that Tackside runs on",
    ),
    (r"\b(in|to) the (stock|printer) file\b", r"\1 the \2's record"),
    (r"measure at_mm from", "measure the crease from"),
    (r"check open_size_mm", "check the open size"),
    (r"give an at_mm between", "give the crease a place between"),
    (rf"\bborder_mm = {_NUMBER} is the smallest safe border", r"\1 mm is the smallest safe border"),
    (rf"\bborder_mm = {_NUMBER}", r"a border of \1 mm"),
    (r"choose border_mm well under", "choose a border well under"),
    (r' with panel = "(?:outside|inside)"', ""),
    (rf"\bqr_mm = {_NUMBER} makes them", r"a code of \1 mm makes them"),
    (r"make qr_mm smaller", "make the code smaller"),
    (rf"\bsize_pt = {_NUMBER}", r"a size of \1 pt"),
    (r" with place or box_mm", ""),
    (r"move its box_mm inwards", "move it inwards"),
    (r"move it inwards with placed_mm, or leave placed_mm out", "move it inwards, or let it fill the panel"),
)  # fmt: skip
_PATTERNS = tuple((re.compile(pattern), words) for pattern, words in _WORDS)
_PLACE = re.compile(r"\{(\w+)\}")


def in_browser(text: str) -> str:
    """The text with what a page does in the place of what a command does."""
    if not any(sign in text for sign in _SIGNS):
        return text
    for pattern, words in _PATTERNS:
        text = pattern.sub(lambda found, said=words: _said(found, said), text)  # type: ignore[misc]
    return text


def _said(found: re.Match[str], words: str) -> str:
    return _PLACE.sub(lambda kind: _PLACES.get(kind[1], kind[0]), found.expand(words))


def printed(value: object) -> object:
    """What a template prints: plain text in the browser's words, all else as it is."""
    return in_browser(value) if type(value) is str else value
