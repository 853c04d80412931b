"""What a card's own profile is built from: readings of one card in one printer, or bare instrument files."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.picture.found_reading import card_name
from tackside.profile.build.measured import MeasuredPatches
from tackside.records import Reading, Trial
from tackside.records.reading import MeasurementCondition
from tackside.records.sheet_plan import Rgb, Side
from tackside.workflow.pictures.measured_file import reading_of_file
from tackside.workflow.pictures.read_cards import reading_of

MOST_WORDS = 120  # of a description: programs list profiles in narrow columns
UNFIT = 1.0  # the degree of a flaw from which nothing can be concluded
LEARNT_SCANNER = "scan | scanner "  # how a reading by a characterised scanner begins its key
COLORIMETRIC = "colorimetric"


@dataclass(frozen=True)
class PrintedCard:
    """A card in its printer, as trials name it."""

    stock: str
    side: Side
    printer: str


@dataclass(frozen=True, eq=False)
class ProfileEvidence:
    """Patches of one card that a profile can be built from, and where they came from.

    ``title`` describes the profile where nobody finds better words. ``card`` and ``trials`` are none of bare files.
    ``condition``: M0 to M3 of an instrument's readings, None where it isn't told, and of scans. ``media``: the paper
    setting that was noted.
    """

    measured: MeasuredPatches
    condition: MeasurementCondition | None
    title: str
    card: PrintedCard | None
    trials: tuple[str, ...]
    readings: tuple[str, ...]
    media: str | None = None

    @property
    def count(self) -> int:
        """How many readings there are."""
        return 1 if self.measured.reading is None else int(self.measured.reading.max()) + 1

    @property
    def key(self) -> str:
        """Equal for equal patches, measured alike."""
        found = hashlib.sha256(repr((self.condition, self.measured.names)).encode())
        for part in (self.measured.device, self.measured.lab, self.measured.noise, self.measured.reading):
            found.update(b"-" if part is None else np.ascontiguousarray(part).tobytes())
        return found.hexdigest()


def evidence_of(bench: Bench | None, trials: Sequence[str], files: Sequence[Path]) -> ProfileEvidence:
    """The evidence of trials of the ``bench``, or of instrument files.

    Raises BadRequest for both or neither, and what ``of_trials`` and ``of_files`` raise.
    """
    if bool(trials) == bool(files):
        raise BadRequest("own-profile.what-it-takes")
    if files:
        return of_files(files)
    assert bench is not None
    return of_trials(bench, trials)


def of_trials(bench: Bench, names: Sequence[str]) -> ProfileEvidence:
    """The readings of trials that print one card in one printer, by the printer's own numbers.

    Of each trial the reading that stands is taken, and beside it all that were read like it. Raises NotFound, and
    BadRequest where trials or ways to measure are mixed, a sheet went through colour management, a scanner isn't
    characterised or a reading is unfit.
    """
    trials = {trial.id: trial for trial in map(bench.trials.get, names)}
    found = [(trial, reading) for trial in trials.values() for reading in _readings(bench, trial)]
    first = next(iter(trials.values()))
    for trial in trials.values():
        _require_same(first, trial)
    _require_one_way([reading for _, reading in found])
    rows = [
        _patches(reading, trial, reading.id or trial.id if len(found) > 1 else None)
        for trial, reading in found
    ]
    media = f", {first.settings.media_setting}" if first.settings.media_setting else ""
    # Programs list profiles by description alone: a refined one is to be told from the first.
    refined = ", refined" if any(trial.through is not None for trial in trials.values()) else ""
    title = f"{card_name(first)}, {first.printer}{media}"
    return ProfileEvidence(
        MeasuredPatches.joined(rows),
        found[0][1].condition,
        title[: MOST_WORDS - len(refined)] + refined,
        PrintedCard(first.stock, first.side, first.printer),
        tuple(trials),
        tuple(reading.id or "" for _, reading in found),
        first.settings.media_setting,
    )


def of_files(files: Sequence[Path]) -> ProfileEvidence:
    """Instrument files of one card. Raises BadInstrumentFile, BadRequest."""
    readings = [reading_of_file(file).reading for file in files]
    _require_one_way(readings)
    return ProfileEvidence(
        MeasuredPatches.joined(
            [_patches(reading, None, reading.source_name if len(files) > 1 else None) for reading in readings]
        ),
        readings[0].condition,
        files[0].stem[:MOST_WORDS],
        None,
        (),
        (),
    )


def _readings(bench: Bench, trial: Trial) -> list[Reading]:
    """The reading of a trial that stands, and the others that were read like it, each file once."""
    found = reading_of(bench, trial.id)
    _require_fit(trial, found.reading)
    if found.through_path and trial.through is None:
        raise BadRequest("own-profile.through-management", trial=trial.id)
    alike = {found.reading.source_sha256: found.reading}
    for other in bench.readings.list(trial.id):
        if _way_of(other) == _way_of(found.reading) and _is_fit(other):
            alike.setdefault(other.source_sha256, other)
    return list(alike.values())


def _require_fit(trial: Trial, reading: Reading) -> None:
    if not _is_fit(reading):
        worst = max(reading.flaws, key=lambda flaw: flaw.degree).code if reading.flaws else "unfit"
        notice = next((each for each in reading.notices if each.code == worst), None)
        if notice is None:
            raise BadRequest("own-profile.unfit", trial=trial.id)
        raise BadRequest("own-profile.unfit-as", trial=trial.id, why=notice)
    if reading.kind == "photo":
        raise BadRequest("own-profile.photographed", trial=trial.id)
    key = reading.uncertainty.comparable_with
    if reading.kind == "scan" and key != COLORIMETRIC and not key.startswith(LEARNT_SCANNER):
        raise BadRequest("own-profile.scanner-unknown", trial=trial.id, uncertainty=reading.uncertainty.de00)


def _is_fit(reading: Reading) -> bool:
    unfit = reading.attributes.get("unfit")
    degrees = [flaw.degree for flaw in reading.flaws] + ([unfit.value] if unfit is not None else [])
    return max(degrees, default=0.0) < UNFIT


def _way_of(reading: Reading) -> tuple[str, str, str | None]:
    """How a reading was measured: what differs in it is not averaged."""
    return reading.kind, reading.uncertainty.comparable_with, reading.condition


def _require_same(first: Trial, other: Trial) -> None:
    """Two trials of one card in one printer, printed with the same settings as far as they are noted."""
    one, two = (
        Message("own-profile.card", card=card_name(each), printer=each.printer) for each in (first, other)
    )
    if one != two:
        raise BadRequest("own-profile.cards-mixed", first=one, second=two)
    for name in ("media_setting", "quality"):
        ours, theirs = getattr(first.settings, name), getattr(other.settings, name)
        if ours and theirs and ours != theirs:
            raise BadRequest("own-profile.settings-mixed", first=ours, second=theirs)


def _require_one_way(readings: Sequence[Reading]) -> None:
    ways = {_way_of(reading) for reading in readings}
    if len(ways) > 1:
        raise BadRequest("own-profile.measured-in-two-ways")


def _patches(reading: Reading, trial: Trial | None, label: str | None) -> MeasuredPatches:
    """A reading's patches that have device numbers: those that the printer was sent. Raises BadRequest.

    ``label`` tells the patches of several readings apart.
    """
    sent = {} if trial is None else sent_numbers(trial)
    rows = [
        (numbers, patch)
        for patch in reading.patches
        if (numbers := sent.get(patch.name, patch.rgb) or patch.cmyk) is not None
    ]
    if not rows:
        raise BadRequest("profile.no-device-numbers", source=reading.source_name)
    widths = {len(numbers) for numbers, _ in rows}
    if len(widths) > 1:
        raise BadRequest("profile-build.channels-mixed")
    # The spread inside a scanned patch is of its pixels: it says little of how sure their mean is.
    noise = [patch.sd if reading.kind == "instrument" else None for _, patch in rows]
    return MeasuredPatches.of(
        [numbers for numbers, _ in rows],
        [patch.lab for _, patch in rows],
        [np.nan if each is None else each for each in noise],
        names=[patch.name if label is None else f"{patch.name} ({label})" for _, patch in rows],
    )


def sent_numbers(trial: Trial) -> dict[str, Rgb]:
    """What the printer was sent for each patch of a trial's sheet, by the patch's name."""
    names = [patch.name for patch in trial.sheet.patches]
    if trial.through is not None:
        return dict(zip(names, trial.through.numbers, strict=True))
    return {patch.name: patch.rgb for patch in trial.sheet.patches}
