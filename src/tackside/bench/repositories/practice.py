"""Practice: the truth of the virtual press's prints, kept apart from the trials, and what was guessed of them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Select, select

from tackside.bench.database.storage import Vault, kept, require_kept
from tackside.bench.database.tables import PRACTICE, TRIAL, add_row
from tackside.bench.ids import typed
from tackside.bench.repositories.trials import Trials
from tackside.errors import NotFound
from tackside.records import Trial
from tackside.records.standing.practice import PracticeGuess, PracticePrint


class PracticePrints:
    """The shelf of practice."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def add(self, trial: Trial, printed: PracticePrint) -> None:
        """Keep a practice trial with the truth of its print: both, or neither. Raises NotFound, BadRequest as
        ``Trials.add`` does.
        """
        with self._vault.at_once() as vault:
            Trials(vault).add(trial)
            PracticePrints(vault)._keep("print", printed)

    def guess(self, guess: PracticeGuess) -> None:
        """Keep what was guessed of a print; earlier guesses stay."""
        self._keep("guess", guess)

    def get(self, trial: str) -> PracticePrint:
        """The print of a practice trial. Raises NotFound where the trial is a real one, or none."""
        with self._vault.reading() as connection:
            row = connection.execute(_rows(trial, "print")).first()
            if row is None:
                raise NotFound("practice.no-practice", trial=trial)
            return self._vault.revive(PracticePrint, row.body)

    def guesses(self, trial: str) -> tuple[PracticeGuess, ...]:
        """All that was guessed of it, the first one first: that is the one that counts."""
        with self._vault.reading() as connection:
            return tuple(
                self._vault.revive(PracticeGuess, row.body)
                for row in connection.execute(_rows(trial, "guess")).all()
            )

    def _keep(self, kind: str, record: PracticePrint | PracticeGuess) -> None:
        with self._vault.writing() as connection:
            require_kept(connection, TRIAL, record.trial)
            add_row(connection, PRACTICE, trial=record.trial, kind=kind, **kept(record, None))


def _rows(trial: str, kind: str) -> Select[Any]:
    known = PRACTICE.c.trial.in_({trial, typed(trial)})
    return select(PRACTICE).where(known, PRACTICE.c.kind == kind).order_by(PRACTICE.c.seq)
