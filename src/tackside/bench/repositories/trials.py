"""Trials: kept as they were made; only what is known of their settings grows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tackside.bench.database.standing import is_practice, trial_stands
from tackside.bench.database.standing import withdrawn as away
from tackside.bench.database.storage import Vault, kept
from tackside.bench.database.tables import PrinterRow, SettingsRow, StockRow, TrialRow
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
        with self._vault.reading() as session:
            made = session.scalar(
                select(func.count()).select_from(TrialRow).where(TrialRow.combination == combination)
            )
            ordinal = (made or 0) + 1
            while (
                _row(session, id_of(combination, ordinal)) is not None
            ):  # 1 in 2^40, but then it must not stop
                ordinal += 1
        return id_of(combination, ordinal)

    def add(self, trial: Trial, source_sha256: str | None = None) -> Trial:
        """Keep a new trial. Its stock and printer revisions must be on the bench.

        Raises NotFound where they are not, and BadRequest where the id is taken.
        """
        with self._vault.writing() as session:
            if _row(session, trial.id) is not None:
                raise BadRequest("bench.trial-there-already", trial=trial.id)
            session.add(
                TrialRow(
                    id=trial.id,
                    combination=self._combination(session, trial),
                    stock=trial.stock,
                    stock_revision=trial.stock_revision,
                    printer=trial.printer,
                    printer_revision=trial.printer_revision,
                    side=trial.side,
                    made_at=trial.made_at,
                    **kept(trial, source_sha256),
                )
            )
            session.flush()  # the settings point at the trial
            session.add(_settings_row(trial.id, 1, trial.settings))
        return trial

    def get(self, trial: str) -> Trial:
        """The trial with its latest settings. Raises NotFound with the nearest id."""
        with self._vault.reading() as session:
            row = self._found(session, trial)
            return self._whole(session, row)

    def standing(self, trial: str) -> Trial:
        """The same, where the trial was not withdrawn: there, raises BadRequest."""
        with self._vault.reading() as session:
            row = self._found(session, trial)
            if session.scalar(select(away("trial", row.id))):
                raise BadRequest("bench.trial-withdrawn", trial=row.id)
            return self._whole(session, row)

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
        asked = select(TrialRow).order_by(TrialRow.seq)
        if practice:
            asked = asked.where(is_practice(TrialRow.id), ~away("trial", TrialRow.id))
        elif withdrawn:
            asked = asked.where(~is_practice(TrialRow.id))
        else:
            asked = asked.where(trial_stands())
        if stock is not None:
            asked = asked.where(TrialRow.stock == stock)
        if printer is not None:
            asked = asked.where(TrialRow.printer == printer)
        with self._vault.reading() as session:
            rows = session.scalars(asked).all()
            return tuple(self._whole(session, row) for row in rows)

    def of_bare_numbers(self, stock: str, printer: str) -> tuple[str, ...]:
        """Ids of a stock's trials on a printer whose sheets hold device numbers (purpose ``device``), the newest first.

        Trials of one combination have one purpose: one of each is looked at, however many there are.
        """
        of_card = (TrialRow.stock == stock, TrialRow.printer == printer)
        one_each = select(func.max(TrialRow.seq)).where(*of_card).group_by(TrialRow.combination)
        bare = select(TrialRow.combination).where(
            TrialRow.seq.in_(one_each), TrialRow.body["sheet"]["purpose"].as_string() == "device"
        )
        with self._vault.reading() as session:
            combinations = session.scalars(bare).all()
            asked = select(TrialRow.id).where(
                *of_card, trial_stands(), TrialRow.combination.in_(combinations)
            )
            return tuple(session.scalars(asked.order_by(TrialRow.seq.desc())).all())

    def update_settings(self, trial: str, settings: Settings, *, after: int | None = None) -> int:
        """Append what is now known of a trial's settings; the earlier knowledge is kept.

        Returns the revision, which stays where nothing is new. ``after`` is the revision that was edited. Raises
        NotFound, and Overtaken where another one has become the newest meanwhile.
        """
        with self._vault.writing() as session:
            row = self._found(session, trial)
            last = _last_settings(session, row.id)
            if last is not None and self._vault.revive(Settings, last.body) == settings:
                return last.revision
            revision = 1 if last is None else last.revision + 1
            if after is not None and after != revision - 1:
                raise Overtaken("bench.settings-overtaken", trial=row.id)
            session.add(_settings_row(row.id, revision, settings))
        return revision

    def settings_history(self, trial: str) -> tuple[KnownSettings, ...]:
        """All that was ever noted of a trial's settings, oldest first. Raises NotFound."""
        with self._vault.reading() as session:
            row = self._found(session, trial)
            found = session.scalars(
                select(SettingsRow).where(SettingsRow.trial == row.id).order_by(SettingsRow.revision)
            ).all()
            return tuple(
                KnownSettings(
                    self._vault.revive(Settings, known.body), known.revision, known.kept_at, known.version
                )
                for known in found
            )

    def _whole(self, session: Session, row: TrialRow) -> Trial:
        trial = self._vault.revive(Trial, row.body)
        last = _last_settings(session, row.id)
        if last is None:
            return trial
        return trial.model_copy(update={"settings": self._vault.revive(Settings, last.body)})

    def _found(self, session: Session, trial: str) -> TrialRow:
        row = _row(session, trial) or _row(session, typed(trial))
        if row is not None:
            return row
        known: Sequence[str] = session.scalars(select(TrialRow.id)).all()
        otherwise = Message("bench.see-trials" if known else "bench.make-trial")
        raise not_found("bench.no-trial", trial, known, otherwise)

    def _combination(self, session: Session, trial: Trial) -> str:
        stock = session.scalars(
            select(StockRow).where(StockRow.name == trial.stock, StockRow.revision == trial.stock_revision)
        ).first()
        printer = session.scalars(
            select(PrinterRow).where(
                PrinterRow.name == trial.printer, PrinterRow.revision == trial.printer_revision
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


def _row(session: Session, trial: str) -> TrialRow | None:
    return session.scalars(select(TrialRow).where(TrialRow.id == trial)).first()


def _last_settings(session: Session, trial: str) -> SettingsRow | None:
    newest = select(SettingsRow).where(SettingsRow.trial == trial).order_by(SettingsRow.revision.desc())
    return session.scalars(newest.limit(1)).first()


def _settings_row(trial: str, revision: int, settings: Settings) -> SettingsRow:
    return SettingsRow(
        trial=trial, revision=revision, media_setting=settings.media_setting, **kept(settings, None)
    )
