"""Trials: kept as they were made; only what is known of their settings grows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, func, select
from sqlalchemy.engine import Connection

from tackside.bench.database.standing import is_practice, trial_stands
from tackside.bench.database.standing import withdrawn as away
from tackside.bench.database.storage import Vault, kept
from tackside.bench.database.tables import PRINTER, SETTINGS, STOCK, TRIAL, add_row
from tackside.bench.ids import combination_of, id_of, typed
from tackside.errors import BadRequest, NotFound, Overtaken
from tackside.files.suggest import not_found
from tackside.messages.message import Message
from tackside.records import Printer, Settings, Stock, Trial
from tackside.records.sheet_plan import Purpose, Side, Space


@dataclass(frozen=True)
class KnownSettings:
    """The settings of a trial as they were known at one time."""

    settings: Settings
    revision: int
    kept_at: datetime
    version: str


class Trials:
    """The shelf of trials."""

    def __init__(self, vault: Vault) -> None:
        self._vault = vault

    def next_id(
        self,
        stock: Stock,
        printer: Printer,
        *,
        purpose: Purpose,
        space: Space | None,
        side: Side,
        feed: str,
        practice: bool = False,
    ) -> str:
        """The id for one more trial of this combination: the same on every bench with the same history.

        Trials of ``practice`` are counted apart, so that they change no id of a real one.
        """
        combination = combination_of(
            stock, printer, purpose=purpose, space=space, side=side, feed=feed, practice=practice
        )
        with self._vault.reading() as connection:
            made = connection.scalar(
                select(func.count()).select_from(TRIAL).where(TRIAL.c.combination == combination)
            )
            ordinal = (made or 0) + 1
            while (
                _row(connection, id_of(combination, ordinal)) is not None
            ):  # 1 in 2^40, but then it must not stop
                ordinal += 1
        return id_of(combination, ordinal)

    def add(self, trial: Trial, source_sha256: str | None = None) -> Trial:
        """Keep a new trial. Its stock and printer revisions must be on the bench.

        Raises NotFound where they are not, and BadRequest where the id is taken.
        """
        with self._vault.writing() as connection:
            if _row(connection, trial.id) is not None:
                raise BadRequest("bench.trial-there-already", trial=trial.id)
            add_row(
                connection,
                TRIAL,
                id=trial.id,
                combination=self._combination(connection, trial),
                stock=trial.stock,
                stock_revision=trial.stock_revision,
                printer=trial.printer,
                printer_revision=trial.printer_revision,
                side=trial.side,
                made_at=trial.made_at,
                **kept(trial, source_sha256),
            )
            _add_settings(connection, trial.id, 1, trial.settings)
        return trial

    def get(self, trial: str) -> Trial:
        """The trial with its latest settings. Raises NotFound with the nearest id."""
        with self._vault.reading() as connection:
            row = self._found(connection, trial)
            return self._whole(connection, row)

    def standing(self, trial: str) -> Trial:
        """The same, where the trial was not withdrawn: there, raises BadRequest."""
        with self._vault.reading() as connection:
            row = self._found(connection, trial)
            if connection.scalar(select(away("trial", row.id))):
                raise BadRequest("bench.trial-withdrawn", trial=row.id)
            return self._whole(connection, row)

    def list(
        self,
        *,
        stock: str | None = None,
        printer: str | None = None,
        withdrawn: bool = False,
        practice: bool = False,
    ) -> tuple[Trial, ...]:
        """All trials with their latest settings, in the order they came: of a stock, on a printer.

        With ``withdrawn``, those that were withdrawn stand among them. With ``practice`` those of the virtual press
        alone, which stand in no other list.
        """
        asked = select(TRIAL).order_by(TRIAL.c.seq)
        if practice:
            asked = asked.where(is_practice(TRIAL.c.id), ~away("trial", TRIAL.c.id))
        elif withdrawn:
            asked = asked.where(~is_practice(TRIAL.c.id))
        else:
            asked = asked.where(trial_stands())
        if stock is not None:
            asked = asked.where(TRIAL.c.stock == stock)
        if printer is not None:
            asked = asked.where(TRIAL.c.printer == printer)
        with self._vault.reading() as connection:
            rows = connection.execute(asked).all()
            return tuple(self._whole(connection, row) for row in rows)

    def of_bare_numbers(self, stock: str, printer: str) -> tuple[str, ...]:
        """Ids of a stock's trials on a printer whose sheets hold device numbers (purpose ``device``), the newest first.

        Trials of one combination have one purpose: one of each is looked at, however many there are.
        """
        of_card = (TRIAL.c.stock == stock, TRIAL.c.printer == printer)
        one_each = select(func.max(TRIAL.c.seq)).where(*of_card).group_by(TRIAL.c.combination)
        bare = select(TRIAL.c.combination).where(
            TRIAL.c.seq.in_(one_each), TRIAL.c.body["sheet"]["purpose"].as_string() == "device"
        )
        with self._vault.reading() as connection:
            combinations = connection.scalars(bare).all()
            asked = select(TRIAL.c.id).where(*of_card, trial_stands(), TRIAL.c.combination.in_(combinations))
            return tuple(connection.scalars(asked.order_by(TRIAL.c.seq.desc())).all())

    def update_settings(self, trial: str, settings: Settings, *, after: int | None = None) -> int:
        """Append what is now known of a trial's settings; the earlier knowledge is kept.

        Returns the revision, which stays where nothing is new. ``after`` is the revision that was edited. Raises
        NotFound, and Overtaken where another one has become the newest meanwhile.
        """
        with self._vault.writing() as connection:
            row = self._found(connection, trial)
            last = _last_settings(connection, row.id)
            if last is not None and self._vault.revive(Settings, last.body) == settings:
                known: int = last.revision
                return known
            revision = 1 if last is None else last.revision + 1
            if after is not None and after != revision - 1:
                raise Overtaken("bench.settings-overtaken", trial=row.id)
            _add_settings(connection, row.id, revision, settings)
        return revision

    def settings_history(self, trial: str) -> tuple[KnownSettings, ...]:
        """All that was ever noted of a trial's settings, oldest first. Raises NotFound."""
        with self._vault.reading() as connection:
            row = self._found(connection, trial)
            found = connection.execute(
                select(SETTINGS).where(SETTINGS.c.trial == row.id).order_by(SETTINGS.c.revision)
            ).all()
            return tuple(
                KnownSettings(
                    self._vault.revive(Settings, known.body), known.revision, known.kept_at, known.version
                )
                for known in found
            )

    def _whole(self, connection: Connection, row: Row[Any]) -> Trial:
        trial = self._vault.revive(Trial, row.body)
        last = _last_settings(connection, row.id)
        if last is None:
            return trial
        return trial.model_copy(update={"settings": self._vault.revive(Settings, last.body)})

    def _found(self, connection: Connection, trial: str) -> Row[Any]:
        row = _row(connection, trial) or _row(connection, typed(trial))
        if row is not None:
            return row
        known: Sequence[str] = connection.scalars(select(TRIAL.c.id)).all()
        otherwise = Message("bench.see-trials" if known else "bench.make-trial")
        raise not_found("bench.no-trial", trial, known, otherwise)

    def _combination(self, connection: Connection, trial: Trial) -> str:
        stock = connection.execute(
            select(STOCK).where(STOCK.c.name == trial.stock, STOCK.c.revision == trial.stock_revision)
        ).first()
        printer = connection.execute(
            select(PRINTER).where(
                PRINTER.c.name == trial.printer, PRINTER.c.revision == trial.printer_revision
            )
        ).first()
        if stock is None or printer is None:
            kind = "stock" if stock is None else "printer"
            name, revision = (
                (trial.stock, trial.stock_revision)
                if stock is None
                else (trial.printer, trial.printer_revision)
            )
            raise NotFound(f"bench.{kind}-revision-not-kept", name=name, revision=revision)
        return combination_of(
            self._vault.revive(Stock, stock.body),
            self._vault.revive(Printer, printer.body),
            purpose=trial.sheet.purpose,
            space=trial.sheet.space,
            side=trial.side,
            feed=trial.feed,
            practice=trial.practice,
        )


def _row(connection: Connection, trial: str) -> Row[Any] | None:
    return connection.execute(select(TRIAL).where(TRIAL.c.id == trial)).first()


def _last_settings(connection: Connection, trial: str) -> Row[Any] | None:
    newest = select(SETTINGS).where(SETTINGS.c.trial == trial).order_by(SETTINGS.c.revision.desc())
    return connection.execute(newest.limit(1)).first()


def _add_settings(connection: Connection, trial: str, revision: int, settings: Settings) -> None:
    add_row(
        connection, SETTINGS,
        trial=trial, revision=revision, media_setting=settings.media_setting, **kept(settings, None),
    )  # fmt: skip
