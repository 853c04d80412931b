"""Taking an archive of a stock in: what is new joins what is there; nothing that was there changes.

All records come in one transaction, after all files: a fault, or a process that dies, leaves the bench as it was.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, TypeVar

from sqlalchemy.engine import Connection

from tackside.bench.database.storage import Vault
from tackside.bench.location import FILES
from tackside.bench.repositories.findings import Findings
from tackside.bench.repositories.kept_files import KeptFiles, Shelf, add_file, name_of_file
from tackside.bench.repositories.revisions import Revisions
from tackside.bench.repositories.trials import Trials
from tackside.bench.repositories.withdrawals import Withdrawals
from tackside.bench.store import Bench
from tackside.bench.transfer.exchange import Exchange, ExchangedTrial, Numbered
from tackside.bench.transfer.exchange_archive import opened
from tackside.errors import BadRequest, NotFound
from tackside.records import Printer, Reading, Stock, Trial, Verdict

# Whose record of a stock is the newest afterwards where both were edited; "both": theirs under another name.
Keep = Literal["mine", "theirs", "both"]
Revised = TypeVar("Revised", Stock, Printer)
Found = TypeVar("Found", Reading, Verdict)


@dataclass
class Taken:
    """What came of an import. ``renamed`` are trials whose id was taken by another print, theirs → ours; ``changed``
    those of which something was withdrawn there, or put back, that was not here yet: so many such words."""

    stock: str
    revisions: int = 0
    trials: list[str] = field(default_factory=list)
    readings: int = 0
    verdicts: int = 0
    withdrawals: int = 0
    changed: list[str] = field(default_factory=list)
    files: int = 0
    renamed: dict[str, str] = field(default_factory=dict)


def import_stock(bench: Bench, archive: str | os.PathLike[str], keep: Keep | None = None) -> Taken:
    """Take in what an archive knows of a stock; a second time changes nothing.

    Where the bench has a stock of that name which went another way, ``keep`` decides. Raises BadRecord where the
    archive cannot be trusted, BadRequest where ``keep`` is needed and missing; nothing is kept then.
    """
    with opened(archive) as found:
        exchange = found.exchange
        name, mine_last = _name_for(bench, exchange, keep)
        shelf = Shelf(bench.folder / FILES)
        missing = [file for file in exchange.files if not shelf.holds(file.sha256)]
        with _aside(bench.folder) as aside:  # all of them whole, before any is kept
            for file in missing:
                found.shelve(file, aside)
            for file in missing:
                shelf.take(aside, file.sha256)
        with bench.at_once() as vault:
            taken = _Import(vault, bench, exchange).run(name, mine_last=mine_last)
        taken.files = len(missing)
        return taken


@contextlib.contextmanager
def _aside(folder: Path) -> Iterator[Shelf]:
    """A shelf beside the bench's own, for the time of an import."""
    place = folder / "incoming" / f"import-{secrets.token_hex(6)}"
    try:
        yield Shelf(place)
    finally:
        shutil.rmtree(place, ignore_errors=True)


class _Import:
    def __init__(self, vault: Vault, bench: Bench, exchange: Exchange) -> None:
        files = KeptFiles(vault, bench.folder / FILES)
        self._vault, self._bench, self._exchange = vault, bench, exchange
        self._stocks = Revisions(vault, lambda: files, Stock)
        self._printers = Revisions(vault, lambda: files, Printer)
        self._trials = Trials(vault)
        self._readings: Findings[Reading] = Findings(vault, Reading)
        self._verdicts: Findings[Verdict] = Findings(vault, Verdict)
        self._withdrawals = Withdrawals(vault)

        self._known = list(self._trials.list(withdrawn=True))

    def run(self, name: str, *, mine_last: bool) -> Taken:
        with self._vault.writing() as connection:
            self._note_files(connection)
        theirs = tuple(
            each.model_copy(update={"record": each.record.model_copy(update={"name": name})})
            for each in self._exchange.stock
        )
        numbers, new = self._merged(self._stocks, theirs, mine_last=mine_last)
        taken = Taken(name, revisions=new)
        printers: dict[tuple[str, int], int] = {}
        for printer in sorted({each.record.name for each in self._exchange.printers}):
            own = tuple(each for each in self._exchange.printers if each.record.name == printer)
            mapped, _ = self._merged(self._printers, own, mine_last=True)
            printers |= {(printer, number): here for number, here in mapped.items()}
        for each in self._exchange.trials:
            here = each.trial.model_copy(
                update={
                    "stock": name,
                    "stock_revision": numbers[each.trial.stock_revision],
                    "printer_revision": printers[each.trial.printer, each.trial.printer_revision],
                }
            )
            self._take_trial(each, here, taken)
        return taken

    def _note_files(self, connection: Connection) -> None:
        for file in self._exchange.files:
            if name_of_file(connection, file.sha256) is None:
                add_file(connection, file.sha256, file.name, file.size_bytes)

    def _merged(
        self, shelf: Revisions[Revised], theirs: Sequence[Numbered[Revised]], *, mine_last: bool
    ) -> tuple[dict[int, int], int]:
        """Their revision → ours, and how many were added. With ``mine_last`` the newest here stays the newest."""
        try:
            history = list(shelf.history(theirs[0].record.name))
        except NotFound:
            history = []
        numbers: dict[int, int] = {}
        added = 0
        for each in sorted(theirs, key=lambda one: one.revision):
            same = [mine.number for mine in history if mine.record == each.record]
            if same:
                numbers[each.revision] = same[-1]
                continue
            source = each.source_sha256
            held = source is not None and Shelf(self._bench.folder / FILES).holds(source)
            path = self._bench.file(source) if held and source is not None else None
            numbers[each.revision] = shelf.add(each.record, path).revision
            history = list(shelf.history(each.record.name))
            added += 1
        if mine_last and added and len(history) > added:
            shelf.add(history[-added - 1].record)
        return numbers, added

    def _take_trial(self, theirs: ExchangedTrial, here: Trial, taken: Taken) -> None:
        named = self._add_trial(here, taken)
        for settings in theirs.settings[1:]:
            if settings not in [known.settings for known in self._trials.settings_history(named)]:
                self._trials.update_settings(named, settings)
        readings: dict[str | None, str | None] = {None: None}
        for reading in theirs.readings:
            kept, is_new = _once(self._readings, reading.model_copy(update={"trial": named, "id": None}))
            readings[reading.id] = kept.id
            taken.readings += is_new
        for verdict in theirs.verdicts:
            update = {"trial": named, "id": None, "reading": readings[verdict.reading]}
            _, is_new = _once(self._verdicts, verdict.model_copy(update=update))
            taken.verdicts += is_new
        subjects = {theirs.trial.id: named, **readings}
        words = [
            word.model_copy(update={"subject": subjects[word.subject]})
            for word in sorted(theirs.withdrawals, key=lambda word: word.noted_at)
        ]
        new = self._withdrawals.note(*words)
        taken.withdrawals += new
        taken.changed += [named] if new else []

    def _add_trial(self, here: Trial, taken: Taken) -> str:
        """The id that the trial has on this bench: its own, where no other print has it."""
        for each in self._known:
            if _same_print(each, here):
                return each.id
        if any(each.id == here.id for each in self._known):
            new = self._trials.next_id(
                self._stocks.get(here.stock, here.stock_revision),
                self._printers.get(here.printer, here.printer_revision),
                purpose=here.sheet.purpose,
                space=here.sheet.space,
                side=here.side,
                feed=here.feed,
            )
            taken.renamed[here.id] = new
            here = here.model_copy(update={"id": new})
        self._known.append(self._trials.add(here))
        taken.trials.append(here.id)
        return here.id


def _same_print(one: Trial, other: Trial) -> bool:
    """Whether two trials are the same sheet of the same moment: by its id, whatever its stock is called here, or by its
    stock, whatever id it got here.
    """
    facts = ("printer", "feed", "side", "sheet", "made_at")
    named = one.id == other.id or one.stock == other.stock
    return named and all(getattr(one, fact) == getattr(other, fact) for fact in facts)


def _once(shelf: Findings[Found], found: Found) -> tuple[Found, bool]:
    """Keep a finding unless the trial has it already; with its id here, and whether it is new."""
    assert found.trial is not None
    for each in shelf.list(found.trial, withdrawn=True):
        if each.model_copy(update={"id": None}) == found:
            return each, False
    return shelf.add(found), True


def _name_for(bench: Bench, exchange: Exchange, keep: Keep | None) -> tuple[str, bool]:
    """The name that the stock gets here, and whether our newest record of it stays the newest.

    Raises BadRequest where a choice is needed.
    """
    name = exchange.stock[0].record.name
    try:
        mine = [each.record for each in bench.stocks.history(name)]
    except NotFound:
        return name, False
    theirs = [each.record for each in sorted(exchange.stock, key=lambda one: one.revision)]
    if theirs[-1] in mine:
        return name, True
    if mine[-1] in theirs:  # they went on from where we are
        return name, False
    if keep is None:
        raise BadRequest("transfer.both-edited", name=name)
    if keep != "both":
        return name, keep == "mine"
    known = {stock.name: stock for stock in bench.stocks.list()}
    for number in range(2, 1000):
        other = f"{name[:70]} ({number})"
        if other not in known or known[other] == theirs[-1].model_copy(update={"name": other}):
            return other, False
    raise BadRequest("transfer.too-many-of-a-name", name=name)
