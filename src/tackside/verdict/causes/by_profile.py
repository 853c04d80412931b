"""A printer profile as the reference: what it predicts for the patches that were read, as a reading of its own.

A sheet of bare device numbers goes straight through the profile's colorimetric table, ICC-absolute (ISO 15076-1). A
sheet for the path holds colours of a working space: they go to the profile's device by the intent that was noted, and
from there to the card. A profile for this very card is taken as it stands, paper and all; one for a card of its class
is taken relative to its own white and laid on the paper that was read.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime

import numpy as np

from tackside.colour.spaces import RGB_SPACES, Floats, lab_to_xyz, rgb_to_lab
from tackside.errors import BadProfile, BadRequest
from tackside.messages.message import Message
from tackside.profile.device.device import Intent, ProfileDevice
from tackside.profile.icc.inspect import describe, device_colour_space, profile_class, to_icc_absolute
from tackside.records import Reading, Trial, Uncertainty
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause, ProfileOf
from tackside.verdict.measures.patch_table import patch_table

# One standard uncertainty of the prediction in ΔE00: how printers and batches differ from the one that was profiled,
# and how cards of one class differ. This project's own estimates, after the usual commercial limit of 2 to 3.5
# (docs/sources.md, S32).
PREDICTED_DE00: dict[ProfileOf, float] = {"card": 1.5, "class": 3.0}
# More where nobody noted who converted the sheet's colours, and by which intent; likewise an estimate.
_ASSUMED_DE00 = 3.0
SPACES: tuple[Space, ...] = ("srgb", "adobe-rgb")


@dataclass(frozen=True)
class Prediction:
    """A profile's prediction: a ``reading`` to be set beside the one judged, and what it rests on.

    ``intent`` and ``black_point_compensation`` are None for bare device numbers; ``assumed``: that the application
    converted by this profile and that intent was not noted, but is taken for granted. ``misused``: what the patches
    would read if the path had gone wrong in each of the ways that the profile itself can tell.
    """

    reading: Reading
    description: str
    of: ProfileOf
    intent: Intent | None
    black_point_compensation: bool | None
    assumed: bool
    misused: dict[Cause, tuple[Reading, ...]] = field(default_factory=dict)

    @property
    def spread(self) -> ProfileOf:
        """How far the print may lie from it: as far as cards of the class, where anything is taken for granted."""
        return "class" if self.assumed else self.of

    @property
    def sentences(self) -> tuple[Message, ...]:
        """What the reference was, for the reasons."""
        de00 = self.reading.uncertainty.de00
        said = Message(f"verdict.profile-of-{self.of}", profile=self.description, de00=de00)
        if self.intent is None:
            return (said,)
        how = f"{'-compensated' if self.black_point_compensation else ''}{'-assumed' if self.assumed else ''}"
        return said, Message(f"verdict.converted{how}", intent=Message(f"verdict.intent.{self.intent}"))


def predict(
    profile: bytes, reading: Reading, *, trial: Trial | None = None, of: ProfileOf = "class"
) -> Prediction:
    """What the profile says that the patches of ``reading`` should be.

    Raises BadProfile for a profile that is no printer's or for other numbers than the sheet's, BadRequest for a reading
    without device numbers or by eye, and for a sheet that the driver converted.
    """
    if reading.kind == "eye":
        raise BadRequest("verdict.answers-beside-profile")
    names, numbers = _numbers(reading, trial)
    _require_output(profile, "RGB" if numbers.shape[1] == 3 else "CMYK")
    device = ProfileDevice(profile)
    intent, compensated, assumed = None, None, False
    misused: dict[Cause, list[Floats]] = {}
    if trial is not None and trial.sheet.purpose == "path":
        intent, compensated, assumed = _rendering(trial)
        path = _Path(device, trial.sheet.space or "srgb", intent, bool(compensated))
        for cause, wrong in path.misused(numbers):
            misused.setdefault(cause, []).append(wrong)
        numbers = path.converted(numbers)
    paper = None
    if of == "class":
        table = patch_table(reading, trial.sheet if trial else None)
        paper = lab_to_xyz(table.lab[table.paper])
    de00 = float(np.hypot(PREDICTED_DE00[of], _ASSUMED_DE00 if assumed else 0.0))

    def shown(numbers: Floats) -> Reading:
        lab = (
            device.to_lab(numbers)
            if paper is None
            else to_icc_absolute(device.to_relative_lab(numbers), paper)
        )
        return _as_reading(profile, reading, names, lab, de00, of)

    return Prediction(
        shown(numbers),
        describe(profile),
        of,
        intent,
        compensated,
        assumed,
        {cause: tuple(map(shown, ways)) for cause, ways in misused.items()},
    )


@dataclass(frozen=True)
class _Path:
    """From the numbers of a sheet to the profile's own, by the one conversion that is meant."""

    device: ProfileDevice
    space: Space
    intent: Intent
    compensated: bool

    def converted(self, numbers: Floats, space: Space | None = None) -> Floats:
        asked = rgb_to_lab(numbers, RGB_SPACES[space or self.space])
        return self.device.from_lab(asked, self.intent, self.compensated)

    def misused(self, numbers: Floats) -> Iterator[tuple[Cause, Floats]]:
        """Device numbers of each fault of the path: never converted, converted again as if the profile's own numbers
        were those of a working space, or read as numbers of the other space.
        """
        yield "unmanaged", numbers
        once = self.converted(numbers)
        for space in SPACES:
            yield "managed-twice", self.converted(once, space)
        if self.space == "srgb":
            yield "narrow-read-as-wide", self.converted(numbers, "adobe-rgb")
        else:
            yield "wide-read-as-narrow", self.converted(numbers, "srgb")


def _numbers(reading: Reading, trial: Trial | None) -> tuple[list[int], Floats]:
    """Rows of the patches that have device numbers, and those numbers."""
    asked = {patch.name: patch.rgb for patch in trial.sheet.patches} if trial else {}
    for found in (
        [asked.get(patch.name, patch.rgb) for patch in reading.patches],
        [patch.cmyk for patch in reading.patches],
    ):
        rows = [row for row, numbers in enumerate(found) if numbers is not None]
        if rows:
            return rows, np.array([found[row] for row in rows], dtype=np.float64)
    raise BadRequest("verdict.no-numbers-to-predict")


def _require_output(profile: bytes, wanted: str) -> None:
    """Raises BadProfile unless it is a printer's profile for ``wanted`` numbers."""
    kind, space = profile_class(profile), device_colour_space(profile)
    if kind != "output":
        raise BadProfile("verdict.not-a-printer-profile", profile=describe(profile), kind=kind)
    if space != wanted:
        raise BadProfile(
            "verdict.profile-for-other-numbers", profile=describe(profile), space=space, wanted=wanted
        )


def _rendering(trial: Trial) -> tuple[Intent, bool, bool]:
    """Intent, black point compensation, and whether any of it was taken for granted."""
    noted = trial.settings
    if noted.colour_managed_by in ("driver", "nobody"):
        raise BadRequest(f"verdict.{noted.colour_managed_by}-converted", trial=trial.id)
    chosen: Intent = noted.intent or "relative"
    # Relative colorimetric is printed with compensation as a rule (docs/sources.md, S55).
    compensated = noted.black_point_compensation
    assumed = noted.intent is None or noted.colour_managed_by is None
    return chosen, chosen == "relative" if compensated is None else compensated, assumed


def _as_reading(
    profile: bytes, beside: Reading, rows: list[int], lab: Floats, de00: float, of: ProfileOf
) -> Reading:
    patches = tuple(
        beside.patches[row].model_copy(update={"lab": (float(light), float(a), float(b)), "sd": None})
        for row, (light, a, b) in zip(rows, lab, strict=True)
    )
    return Reading(
        kind="instrument",
        source_name=describe(profile),
        source_sha256=hashlib.sha256(profile).hexdigest(),
        made_at=datetime.now(UTC),
        patches=patches,
        uncertainty=Uncertainty(
            de00=de00,
            basis=Message(f"verdict.predicted-for-{of}"),
            comparable_with="colorimetric",
        ),
    )
