"""How well each of a set of profiles predicts a card, and in what it is wrong: white, black, tone or colour.

A profile's prediction is its colorimetric table (A2B1), ICC-absolute: media-relative colours times the media
white (ISO 15076-1, 6.3.2), by LittleCMS. The error is split by correcting it in steps: first the profile's white is
made the card's (XYZ scaled), then its black too (XYZ scaled and shifted, as ISO 18619 does), then its tone, by the
curve that makes its greys the card's, laid on all channels as more or less ink would be. What each step takes away is
the share of white, black and tone; what is left is hue and chroma.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, lab_to_lch, lab_to_xyz, xyz_to_lab
from tackside.errors import BadProfile, BadRequest, TacksideError
from tackside.messages.message import Message
from tackside.profile.gamut.gamut_solid import solid_of
from tackside.profile.icc.inspect import describe, device_colour_space, profile_class
from tackside.profile.link.convert import device_to_lab_by_profile

ToLab = Callable[[Floats], Floats]

SPACES = {3: "RGB", 4: "CMYK"}
PRINTING = ("output",)
NO_PRINTER = ("display", "colour space")
COLOURFUL = 15.0  # C*ab from which a hue is worth comparing
LEAST_GREYS = 4
FEWEST_PATCHES = 12
EQUAL = 1.5 / 255  # device numbers nearer than this are the same number, rounded
RESAMPLES = 200


@dataclass(frozen=True, eq=False)
class ComparableReading:
    """A reading ready to be compared: ``device`` (n, 3) or (n, 4), ``lab`` (n, 3), rows of paper, black and greys.

    ``grey_steps``: device value of each grey from dark to light. ``volume``: of the card's solid, None if unknown.
    """

    device: Floats
    lab: Floats
    white: int
    black: int
    greys: tuple[int, ...]
    volume: float | None = None

    @property
    def colour_space(self) -> str:
        return SPACES[self.device.shape[1]]


@dataclass(frozen=True)
class Steps:
    """Median ΔE00 that is left when the profile's white, then its black, then its tone are made the card's."""

    white: float
    black: float
    tone: float


@dataclass(frozen=True, eq=False)
class Match:
    """One profile beside the card. ΔE00 unless told otherwise.

    ``white``: between both papers. ``black``: L* of the profile's black minus the card's. ``tone``: mean L* by
    which the grey ramps differ, white and black made equal; ``tone_shift`` its signed mean, above zero where the
    profile expects lighter greys than the card gives. ``hue_deg``: median hue difference of colourful patches, and
    ``chroma``: the card's chroma over the profile's there (median), both after white, black and tone.
    ``volume_share``: the card's gamut volume over the profile's.
    """

    file: str
    description: str
    de00: Floats
    de00_median: float
    de00_p95: float
    white: float
    white_lab: tuple[float, float, float]
    black: float
    tone: float | None
    tone_shift: float | None
    hue_deg: float | None
    chroma: float | None
    after: Steps
    gamut_volume: float
    volume_share: float | None


def card_reading(device: ArrayLike, lab: ArrayLike, volume: float | None = None) -> ComparableReading:
    """A reading's patches with the rows that serve as paper, black and greys. Raises BadRequest."""
    numbers, colours = np.asarray(device, dtype=np.float64), np.asarray(lab, dtype=np.float64)
    if len(numbers) < FEWEST_PATCHES:
        raise BadRequest("match.too-few-patches", count=len(numbers), limit=FEWEST_PATCHES)
    if numbers.shape[1] == 3:
        bare, dark = (numbers >= 1 - EQUAL).all(axis=1), (numbers <= EQUAL).all(axis=1)
        neutral, step = np.ptp(numbers, axis=1) <= 1e-6, numbers.mean(axis=1)
    else:
        bare, dark = (numbers <= EQUAL).all(axis=1), np.ones(len(numbers), dtype=bool)
        neutral, step = (numbers[:, :3] <= 1e-6).all(axis=1), 1 - numbers[:, 3]
    if not bare.any() or not dark.any():
        raise BadRequest("match.no-white-or-black")
    white = int(np.flatnonzero(bare)[np.argmax(colours[bare, 0])])
    black = int(np.flatnonzero(dark)[np.argmin(colours[dark, 0])])
    _, first = np.unique(step[neutral], return_index=True)
    greys = tuple(int(row) for row in np.flatnonzero(neutral)[first])
    return ComparableReading(
        numbers, colours, white, black, greys if len(greys) >= LEAST_GREYS else (), volume
    )


def why_not(card: ComparableReading, file: str, profile: bytes) -> Message | None:
    """Why a profile of that name cannot be matched with this card; None if it can."""
    try:
        space, kind = device_colour_space(profile), profile_class(profile)
    except BadProfile as error:
        return Message("match.unusable", file=file, reason=error.message)
    if kind not in PRINTING + NO_PRINTER:
        return Message("match.no-printer-profile", file=file, kind=kind)
    if space != card.colour_space:
        return Message("match.other-numbers", file=file, space=space, wanted=card.colour_space)
    return None


def match_profile(card: ComparableReading, file: str, profile: bytes) -> Match:
    """One profile's prediction beside the card. Raises BadProfile."""

    def absolute(device: Floats) -> Floats:
        return device_to_lab_by_profile(device, profile, expected=card.colour_space, intent="absolute")

    return _match(card, file, describe(profile), absolute)


def _match(card: ComparableReading, file: str, description: str, to_lab: ToLab) -> Match:
    predicted = to_lab(card.device)
    de00 = delta_e_2000(predicted, card.lab)
    white, black = predicted[card.white], predicted[card.black]
    on_white = xyz_to_lab(lab_to_xyz(predicted) * (lab_to_xyz(card.lab[card.white]) / lab_to_xyz(white)))
    corrected = _WhiteAndBlack.of(white, black, card)
    on_both = corrected(predicted)
    toned, tone, shift = _along_the_greys(to_lab, corrected, on_both, card)
    hue, chroma = _hue_and_chroma(toned, card)
    volume = solid_of(to_lab, card.device.shape[1]).volume
    return Match(
        file=file,
        description=description,
        de00=de00,
        de00_median=float(np.median(de00)),
        de00_p95=float(np.quantile(de00, 0.95)),
        white=float(delta_e_2000(white, card.lab[card.white])),
        white_lab=(float(white[0]), float(white[1]), float(white[2])),
        black=float(black[0] - card.lab[card.black, 0]),
        tone=tone,
        tone_shift=shift,
        hue_deg=hue,
        chroma=chroma,
        after=Steps(*(float(np.median(delta_e_2000(part, card.lab))) for part in (on_white, on_both, toned))),
        gamut_volume=volume,
        volume_share=None if card.volume is None or volume <= 0 else card.volume / volume,
    )


@dataclass(frozen=True, eq=False)
class _WhiteAndBlack:
    """Makes a profile's white and black the card's: a straight map of each of X, Y, Z."""

    low: Floats
    scale: Floats
    to_low: Floats

    @classmethod
    def of(cls, white: Floats, black: Floats, card: ComparableReading) -> _WhiteAndBlack:
        low, high = lab_to_xyz(black), lab_to_xyz(white)
        to_low, to_high = lab_to_xyz(card.lab[card.black]), lab_to_xyz(card.lab[card.white])
        if np.any(high - low < 1e-3):
            raise BadProfile("match.no-range")
        return cls(low, (to_high - to_low) / (high - low), to_low)

    def __call__(self, lab: Floats) -> Floats:
        return xyz_to_lab(self.to_low + (lab_to_xyz(lab) - self.low) * self.scale)


def _along_the_greys(
    to_lab: ToLab, corrected: _WhiteAndBlack, on_both: Floats, card: ComparableReading
) -> tuple[Floats, float | None, float | None]:
    """The prediction with its tone made the card's; the mean size of its L* error along the greys, and mean."""
    if not card.greys:
        return on_both, None, None
    rows = list(card.greys)
    off = on_both[rows, 0] - card.lab[rows, 0]
    inner = off[1:-1]  # white and black are equal by now
    fine = np.linspace(0, 1, 101)
    expected = np.maximum.accumulate(corrected(to_lab(_greys(fine, card.colour_space)))[:, 0])
    steps = _lightness(card.device[rows], card.colour_space)
    aims = np.maximum.accumulate(card.lab[rows, 0])
    # Device value by which the profile comes to the card's grey. One curve serves all channels: more or less ink.
    curve = np.interp(aims, expected, fine)
    lighter = np.interp(card.device if card.colour_space == "RGB" else 1 - card.device, steps, curve)
    moved = np.clip(lighter if card.colour_space == "RGB" else 1 - lighter, 0, 1)
    return corrected(to_lab(moved)), float(np.mean(np.abs(inner))), float(np.mean(inner))


def _greys(lightness: Floats, space: str) -> Floats:
    """Device numbers of greys from 0 (black) to 1 (white): equal RGB, or black ink alone."""
    if space == "RGB":
        return np.repeat(lightness[:, None], 3, axis=1)
    return np.column_stack([np.zeros((len(lightness), 3)), 1 - lightness])


def _lightness(device: Floats, space: str) -> Floats:
    """The inverse of ``_greys``."""
    return np.asarray(device[:, 0] if space == "RGB" else 1 - device[:, 3])


def _hue_and_chroma(predicted: Floats, card: ComparableReading) -> tuple[float | None, float | None]:
    one, other = lab_to_lch(predicted), lab_to_lch(card.lab)
    rows = (one[:, 1] > COLOURFUL) & (other[:, 1] > COLOURFUL)
    if not rows.any():
        return None, None
    turn = np.abs((one[rows, 2] - other[rows, 2] + 180) % 360 - 180)
    return float(np.median(turn)), float(np.median(other[rows, 1] / one[rows, 1]))


def ranked(matches: Sequence[Match]) -> tuple[Match, ...]:
    """Best first: by the median ΔE00, then by the 95th percentile."""
    return tuple(sorted(matches, key=lambda match: (match.de00_median, match.de00_p95, match.file)))


def too_close(best: Match, other: Match, uncertainty: float) -> bool:
    """Whether the medians of two profiles differ by less than this reading can tell.

    Patches are drawn again RESAMPLES times (the bootstrap: docs/sources.md, S98); the middle 95 % of the difference
    must keep off zero. What all patches share, half of the reading's standard uncertainty, must be exceeded besides:
    it moves both profiles' errors, mostly alike.
    """
    gap = other.de00_median - best.de00_median
    rows = np.random.default_rng(1).integers(0, len(best.de00), (RESAMPLES, len(best.de00)))
    gaps = np.median(other.de00[rows], axis=1) - np.median(best.de00[rows], axis=1)
    return bool(np.quantile(gaps, 0.025) <= 0 or gap < uncertainty / 2)


def match_all(
    card: ComparableReading, profiles: Sequence[tuple[str, bytes]]
) -> tuple[tuple[Match, ...], tuple[Message, ...]]:
    """All profiles (file, bytes) that can be compared, best first, and notices about those left out.

    Raises BadProfile where none is left.
    """
    found: list[Match] = []
    reasons: list[Message] = []
    notices: list[Message] = []
    for file, profile in profiles:
        reason = why_not(card, file, profile)
        if reason is None:
            try:
                found.append(match_profile(card, file, profile))
            except TacksideError as error:
                reason = Message("match.refused", file=file, reason=error.message)
        if reason is not None:
            reasons.append(reason)
            notices.append(Message("match.left-out", reason=reason))
        elif profile_class(profile) in NO_PRINTER:
            notices.append(Message("match.no-print", file=file))
    if not found and reasons:
        raise BadProfile("match.none-can-be-matched", reason=reasons[0], space=card.colour_space)
    if not found:
        raise BadProfile("match.no-profile", space=card.colour_space)
    return ranked(found), tuple(notices)
